/* Counts the calls that write below one folder, and makes the nth fail or the process die there.
 *
 * Loaded before libc, so that it stands in front of Python, SQLite and every other library.
 * cc -shared -fPIC -O1 -o faults.so faults.c -ldl
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <sys/uio.h>
#include <unistd.h>

enum { COUNT, FAIL_ONCE, FAIL_ON, DIE_BEFORE, DIE_MIDWAY };
enum { WRITE, FSYNC, RENAME, MKDIR, CREATE, TRUNCATE, UNLINK, KINDS };
enum { PASS, REFUSE, DIE_AFTER };

static char root[4096];
static int mode = -1;
static long at;
static atomic_long seen, by_kind[KINDS];

void fault_arm(const char *folder, int how, long nth) {
  strncpy(root, folder, sizeof root - 1);
  at = nth;
  mode = how;
}
long fault_seen(int kind) { return kind < 0 ? seen : by_kind[kind]; }

static void die(void) { kill(getpid(), SIGKILL); for (;;) pause(); }

static int hit(int kind) {
  by_kind[kind]++;
  long number = ++seen;
  if (kind != UNLINK && ((mode == FAIL_ONCE && number == at) || (mode == FAIL_ON && number >= at))) {
    errno = kind == FSYNC || kind == TRUNCATE ? EIO : ENOSPC;
    return REFUSE;
  }
  if (mode == DIE_BEFORE && number == at) die();
  return mode == DIE_MIDWAY && number == at ? DIE_AFTER : PASS;
}
static int named(const char *path) {
  char full[8192];
  if (mode < 0 || !path) return 0;
  if (path[0] == '/') return !strncmp(path, root, strlen(root));
  if (!getcwd(full, sizeof full)) return 0;
  return !strncmp(full, root, strlen(root));
}
static int opened(int fd) {
  char link[64], path[4096];
  if (mode < 0) return 0;
  snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
  ssize_t length = readlink(link, path, sizeof path - 1);
  return length > 0 && (path[length] = 0, !strncmp(path, root, strlen(root)));
}
#define REAL(type, name, ...)                                    \
  static type (*real)(__VA_ARGS__);                              \
  if (!real) real = (type(*)(__VA_ARGS__))dlsym(RTLD_NEXT, name)
#define AROUND(type, ours, kind, call, half)                     \
  int what = (ours) ? hit(kind) : PASS;                          \
  if (what == REFUSE) return -1;                                 \
  if (what == DIE_AFTER) { half; die(); }                        \
  return call

ssize_t write(int fd, const void *data, size_t size) {
  REAL(ssize_t, "write", int, const void *, size_t);
  AROUND(ssize_t, opened(fd), WRITE, real(fd, data, size), real(fd, data, size / 2));
}
ssize_t writev(int fd, const struct iovec *parts, int count) {
  REAL(ssize_t, "writev", int, const struct iovec *, int);
  AROUND(ssize_t, opened(fd), WRITE, real(fd, parts, count), real(fd, parts, count / 2));
}
#define PWRITE(name, offset_type)                                                        \
  ssize_t name(int fd, const void *data, size_t size, offset_type offset) {              \
    REAL(ssize_t, #name, int, const void *, size_t, offset_type);                        \
    AROUND(ssize_t, opened(fd), WRITE, real(fd, data, size, offset),                     \
           real(fd, data, size / 2, offset));                                            \
  }
PWRITE(pwrite, off_t)
PWRITE(pwrite64, off64_t)
#define ON_FILE(name, kind)                                                              \
  int name(int fd) {                                                                     \
    REAL(int, #name, int);                                                               \
    AROUND(int, opened(fd), kind, real(fd), real(fd));                                   \
  }
ON_FILE(fsync, FSYNC)
ON_FILE(fdatasync, FSYNC)
#define TRUNCATES(name, offset_type)                                                     \
  int name(int fd, offset_type size) {                                                   \
    REAL(int, #name, int, offset_type);                                                  \
    AROUND(int, opened(fd), TRUNCATE, real(fd, size), real(fd, size));                   \
  }
TRUNCATES(ftruncate, off_t)
TRUNCATES(ftruncate64, off64_t)
int rename(const char *from, const char *to) {
  REAL(int, "rename", const char *, const char *);
  AROUND(int, named(to), RENAME, real(from, to), real(from, to));
}
int mkdir(const char *path, mode_t rights) {
  REAL(int, "mkdir", const char *, mode_t);
  AROUND(int, named(path), MKDIR, real(path, rights), real(path, rights));
}
int unlink(const char *path) {
  REAL(int, "unlink", const char *);
  AROUND(int, named(path), UNLINK, real(path), real(path));
}
#define OPENS(name)                                                                      \
  int name(const char *path, int flags, ...) {                                           \
    REAL(int, #name, const char *, int, ...);                                            \
    va_list rest;                                                                        \
    va_start(rest, flags);                                                               \
    mode_t rights = flags & O_CREAT ? va_arg(rest, mode_t) : 0;                          \
    va_end(rest);                                                                        \
    AROUND(int, (flags & O_CREAT) && named(path), CREATE, real(path, flags, rights),     \
           real(path, flags, rights));                                                   \
  }
OPENS(open)
OPENS(open64)
