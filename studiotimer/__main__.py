"""`python -m studiotimer`: the same as the console command."""

from studiotimer.cli import entry_point

if __name__ == "__main__":
    entry_point()
