"""A machine that may lie asleep, or run full: for one program alone the clocks that count sleep leap ahead, as they do
when it wakes up, and its disks say that so much is free. It was switched on long ago, however new the real one is.
What the program tells its player to play is noted, whatever a busy machine makes of it.
"""

import struct
import subprocess

ON_FOR_S = 100_000.0
"""For how much longer than the real one the machine has been on."""
LEAPS = r"""
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/statvfs.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>
static volatile double *ahead;  /* seconds, bytes that are free (fewer than none: as it is), seconds on already */
static int told = -1;  /* where what is to be played is noted */
__attribute__((constructor)) static void begin(void) {
    const char *path = getenv("SCENE_CLOCK");
    int file = path ? open(path, O_RDONLY) : -1;
    if (file < 0) return;
    void *there = mmap(0, 3 * sizeof(double), PROT_READ, MAP_SHARED, file, 0);
    if (there != MAP_FAILED) ahead = there;
    close(file);
    const char *sounds = getenv("SCENE_SOUNDS");
    if (sounds) told = open(sounds, O_WRONLY | O_APPEND | O_CLOEXEC);
}
ssize_t write(int file, const void *words, size_t many) {
    ssize_t done = syscall(SYS_write, file, words, many);
    if (told >= 0 && done > 0 && memmem(words, done, " play ", 6)) syscall(SYS_write, told, words, done);
    return done;
}
int clock_gettime(clockid_t which, struct timespec *at) {
    static int (*real)(clockid_t, struct timespec *);
    if (!real) real = dlsym(RTLD_NEXT, "clock_gettime");
    int done = real(which, at);
    if (ahead && (which == CLOCK_BOOTTIME || which == CLOCK_REALTIME)) {
        double seconds = *ahead + (which == CLOCK_BOOTTIME ? ahead[2] : 0);
        long more = at->tv_nsec + (long)((seconds - (long)seconds) * 1e9);
        at->tv_sec += (long)seconds + more / 1000000000L;
        at->tv_nsec = more % 1000000000L;
    }
    return done;
}
int statvfs64(const char *path, struct statvfs64 *disk) {
    static int (*real)(const char *, struct statvfs64 *);
    if (!real) real = dlsym(RTLD_NEXT, "statvfs64");
    int done = real(path, disk);
    if (done == 0 && ahead && ahead[1] >= 0) disk->f_bavail = disk->f_bfree = ahead[1] / disk->f_frsize;
    return done;
}
int statvfs(const char *path, struct statvfs *disk) { return statvfs64(path, (struct statvfs64 *)disk); }
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
    """What one program is told: how far its clock is ahead of the machine's own, and how much of its disks is free."""

    def __init__(self, library, file):
        self.ahead_s, self.free_bytes = 0.0, -1.0
        self._file = file
        file.write_bytes(bytes(24))
        self._tell()
        self._sounds = file.with_name("sounds")
        self._sounds.touch()
        self.environment = {"LD_PRELOAD": str(library), "SCENE_CLOCK": str(file), "SCENE_SOUNDS": str(self._sounds)}

    @property
    def sounds(self):
        """The names of the sounds that the program told its player to play, in order."""
        return [line.split()[2] for line in self._sounds.read_text().splitlines()]

    def leap(self, seconds):
        """Let so many seconds pass at once."""
        self.ahead_s += seconds
        self._tell()

    def fill(self, free_bytes):
        """Leave so many bytes free on every disk."""
        self.free_bytes = free_bytes
        self._tell()

    def _tell(self):
        with self._file.open("r+b") as file:
            file.write(struct.pack("3d", self.ahead_s, self.free_bytes, ON_FOR_S))
