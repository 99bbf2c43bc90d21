"""Settings and keys: kept, read tolerantly, and what the sounds make of them."""

import json

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent

from studiotimer.places import config_folder
from studiotimer.window.engine import Engine
from studiotimer.window.keys import (
    DEFAULT_KEYS,
    KeyMap,
    KeyMapError,
    action_words,
    key_pressed,
    keys_of,
    load_keys,
)
from studiotimer.window.settings.values import (
    SOUNDS,
    Settings,
    load_settings,
    settings_file,
    settings_of,
)
from studiotimer.window.sounds import Sounds
from tests.kept import save_keys, save_settings

K, M = Qt.Key, Qt.KeyboardModifier


def pressed(key, modifiers=M.NoModifier):
    return QKeyEvent(QEvent.Type.KeyPress, key, modifiers)


class Listener(Engine):
    """Stands for the sound engine, and knows what was to be heard and how loud."""

    def __init__(self):
        super().__init__()
        self.played, self.hushed = [], 0

    def play(self, name, volume, alarm):
        self.played.append((name, volume))

    def hush(self):
        self.hushed += 1


@pytest.fixture
def sounds(qapp):
    return Sounds(engine=Listener())


def test_settings_are_kept_and_read():
    assert load_settings() == (Settings(), None)
    changed = Settings("US", "dark", 0.3, True, ("refused", "swap"))
    save_settings(changed)
    assert load_settings() == (changed, None)


@pytest.mark.parametrize(
    ("values", "why"),
    [
        ([], "it holds no settings"),
        ({"volume": 3}, "volume cannot be 3; it must be from 0 to 1"),
        ({"volume": True}, "volume cannot be True; it must be from 0 to 1"),
        ({"volume": float("nan")}, "volume cannot be nan; it must be from 0 to 1"),
        ({"units": "furlongs"}, "units cannot be 'furlongs'; it must be metric or US"),
        ({"units": ["US"]}, "units cannot be ['US']; it must be metric or US"),
        ({"mute": 1}, "mute cannot be 1; it must be true or false"),
        ({"silenced": ["bell"]}, "silenced cannot be ['bell']; it must be a list of accepted, refused"),
        ({"size": 3}, "size cannot be 3; it must be one of 1, 1.25, 1.5, 2"),
        ({"size": True}, "size cannot be True"),
        ({"size": "2"}, "size cannot be '2'"),
        ({"sessions": "shoots"}, "sessions cannot be 'shoots'; it must be the whole path of a folder, or empty"),
        ({"sessions": None}, "sessions cannot be None"),
        ({"loud": 1}, "there is no setting 'loud'; the settings are units, colours"),
    ],
)
def test_damaged_settings_are_set_aside_and_the_usual_hold(values, why):
    settings_file().write_text(json.dumps(values))
    settings, words = load_settings()
    assert settings == Settings()
    assert words.startswith(f"The settings in settings.json cannot be used ({why}")
    assert (config_folder() / "settings.damaged.json").exists()
    assert load_settings() == (Settings(), None)


def test_settings_left_out_are_as_usual():
    assert settings_of({"mute": True}) == Settings(mute=True)


def test_a_sound_is_as_loud_as_the_settings_say(sounds):
    sounds.follow(Settings(volume=0.2))
    sounds.play("swap")
    assert sounds.engine.played == [("swap", 0.2)]


def test_muted_nothing_plays_and_what_plays_is_stopped(sounds):
    sounds.follow(Settings(mute=True))
    for name in SOUNDS:
        sounds.play(name)
    assert (sounds.engine.played, sounds.engine.hushed) == ([], 1)


def test_a_silenced_sound_alone_is_left_out_and_can_be_heard_on_request(sounds):
    sounds.follow(Settings(silenced=("swap",)))
    sounds.play("swap")
    sounds.play("pull")
    sounds.hear("swap")
    assert [name for name, _ in sounds.engine.played] == ["pull", "swap"]


def test_every_action_has_words_and_no_key_means_two():
    assert all(action_words(action) for action in DEFAULT_KEYS)
    assert len({action_words(action) for action in DEFAULT_KEYS}) == len(DEFAULT_KEYS)
    KeyMap()


def test_a_key_bound_twice_is_refused_with_both_actions():
    with pytest.raises(KeyMapError, match="the key P cannot mean both “Pull” and “Swap”; free it first"):
        KeyMap().bound("swap", "P")
    with pytest.raises(KeyMapError, match="the key S means “Swap” already"):
        KeyMap().bound("swap", "S")
    with pytest.raises(KeyMapError, match="“Pull” and “Swap”"):
        keys_of({"swap": ["P"]})


def test_keys_are_kept_and_only_what_was_changed():
    keys = KeyMap().bound("swap", "PgUp").freed("pull", "P").bound("hero_in", "P")
    save_keys(keys)
    kept = json.loads((config_folder() / "keys.json").read_text())
    assert kept == {"swap": ["S", "PgUp"], "pull": [], "hero_in": ["H", "P"]}
    again, words = load_keys()
    assert words is None
    assert again.keys == keys.keys
    assert again.action(pressed(K.Key_PageUp)) == ("swap", False)
    assert again.action(pressed(K.Key_P)) == ("hero_in", False)


@pytest.mark.parametrize(
    "values",
    [[], {"fly": ["P"]}, {"pull": "P"}, {"pull": [7]}, {"pull": ["Nonsense"]}, {"let_go": []}, {"swap": ["P"]}],
)
def test_damaged_keys_are_set_aside_and_the_usual_hold(values):
    (config_folder() / "keys.json").write_text(json.dumps(values))
    keys, words = load_keys()
    assert keys.keys == DEFAULT_KEYS
    assert words.startswith("The changed keys in keys.json cannot be used (")
    assert (config_folder() / "keys.damaged.json").exists()


def test_the_way_out_cannot_be_freed():
    with pytest.raises(KeyMapError, match="always means “Leave, cancel”"):
        KeyMap().freed("let_go", "Escape")


@pytest.mark.parametrize(
    ("key", "modifiers", "name"),
    [
        (K.Key_P, M.NoModifier, "P"),
        (K.Key_P, M.ShiftModifier, "Shift+P"),
        (K.Key_PageUp, M.NoModifier, "PgUp"),
        (K.Key_5, M.KeypadModifier, "5"),
        (K.Key_MediaNext, M.NoModifier, "Media Next"),
        (K.Key_MediaTogglePlayPause, M.NoModifier, "Toggle Media Play/Pause"),
        (K.Key_VolumeUp, M.NoModifier, "Volume Up"),
        (K.Key_F5, M.NoModifier, "F5"),
        (K.Key_Shift, M.ShiftModifier, None),
        (K.Key_unknown, M.NoModifier, None),
    ],
)
def test_the_name_of_a_key_pressed_means_that_key(key, modifiers, name):
    assert key_pressed(pressed(key, modifiers)) == name
    if name is not None and name not in {one for names in DEFAULT_KEYS.values() for one in names}:
        assert KeyMap().bound("frame", name).action(pressed(key, modifiers)) == ("frame", False)
