"""A machine that may lie asleep: the clocks that count sleep leap ahead for one program, as they do when it wakes up."""

import struct
import subprocess

LEAPS = r"""
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <time.h>
#include <unistd.h>
static volatile double *ahead;
__attribute__((constructor)) static void begin(void) {
    const char *path = getenv("SCENE_CLOCK");
    int file = path ? open(path, O_RDONLY) : -1;
    if (file < 0) return;
    void *there = mmap(0, sizeof(double), PROT_READ, MAP_SHARED, file, 0);
    if (there != MAP_FAILED) ahead = there;
    close(file);
}
int clock_gettime(clockid_t which, struct timespec *at) {
    static int (*real)(clockid_t, struct timespec *);
    if (!real) real = dlsym(RTLD_NEXT, "clock_gettime");
    int done = real(which, at);
    if (ahead && (which == CLOCK_BOOTTIME || which == CLOCK_REALTIME)) {
        double seconds = *ahead;
        long more = at->tv_nsec + (long)((seconds - (long)seconds) * 1e9);
        at->tv_sec += (long)seconds + more / 1000000000L;
        at->tv_nsec = more % 1000000000L;
    }
    return done;
}
"""


def built(folder):
    """Return the library that makes a program's clocks leap; None without a C compiler."""
    source, library = folder / "leaps.c", folder / "leaps.so"
    source.write_text(LEAPS)
    try:
        subprocess.run(
            ["cc", "-O1", "-shared", "-fPIC", "-o", library, source, "-ldl"], check=True, capture_output=True
        )
    except (OSError, subprocess.CalledProcessError):
        return None
    return library


class Leaps:
    """The clock of one program: how far it is ahead of the machine's own."""

    def __init__(self, library, file):
        self.ahead_s = 0.0
        self._file = file
        file.write_bytes(struct.pack("d", 0.0))
        self.environment = {"LD_PRELOAD": str(library), "SCENE_CLOCK": str(file)}

    def leap(self, seconds):
        """Let so many seconds pass at once."""
        self.ahead_s += seconds
        with self._file.open("r+b") as file:
            file.write(struct.pack("d", self.ahead_s))
