"""The phones' server as a process of its own; the window starts it."""

from studiotimer.phones.serving import main

if __name__ == "__main__":
    main()
