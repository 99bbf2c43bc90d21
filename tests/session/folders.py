"""What stands in a folder, for tests that nothing half-written stays."""


def names_in(folder):
    return sorted(path.name for path in folder.iterdir())
