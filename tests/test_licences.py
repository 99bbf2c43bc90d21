"""Nothing that the program needs is under the GPL and no other licence."""

import pytest

from tests.licences import GPL_OF_QT, is_gpl_alone, needed, own, used_of_qt


def test_every_package_says_its_licence_and_none_is_gpl_alone():
    found = needed(own())
    assert {"aiohttp", "cryptography", "segno", "PySide6"} & set(found) >= {"aiohttp", "cryptography", "segno"}
    assert {name: licence for name, licence in found.items() if not licence or is_gpl_alone(licence)} == {}


def test_no_module_of_qt_that_is_gpl_alone_is_used():
    used = used_of_qt()
    assert {"QtCore", "QtWidgets", "QtNetwork"} <= used
    assert not used & GPL_OF_QT


@pytest.mark.parametrize(
    ("licence", "gpl"),
    [
        ("GPL-3.0-only", True), ("GNU General Public License v2 (GPLv2)", True), ("MIT AND GPL-2.0", True),
        ("AGPL-3.0", True), ("GPLv3", True), ("LGPL-3.0-only OR GPL-2.0-only", False),
        ("GNU Lesser General Public License v3 (LGPLv3)", False), ("GPL-3.0 OR MIT", False), ("MIT", False),
        ("GPL-2.0 WITH GCC-exception-3.1", False), ("Apache-2.0 AND MIT", False),
    ],
)  # fmt: skip
def test_which_licences_are_gpl_alone(licence, gpl):
    assert is_gpl_alone(licence) == gpl
