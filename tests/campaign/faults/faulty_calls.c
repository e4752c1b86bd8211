/* Lets single system calls on files of one folder fail, in whatever process has this loaded.

   FAULTS_IN names the folder, FAULTS_BY a file of 32-bit numbers that all processes share:
   which sort of call (0: none, -1: only count the calls of every sort), the error, how many to let
   through first, how many to hit, how (0: not done, 1: done, but told as failed, 2: half of it
   done), how many were met, how many hit, and from the eighth on the counts, one for each sort.
*/
#define _GNU_SOURCE
#include <dirent.h>
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/inotify.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <unistd.h>

enum { EVERY = -1, NONE, OPEN, READ, WRITE, FSYNC, RENAME, LINK, UNLINK, CLOSE, STAT, SCANDIR, MKDIR,
       LOCK, WATCH };
enum { NOT_DONE, DONE, HALF };
enum { SORT, ERROR, THROUGH, TO_HIT, HOW, MET, HIT, COUNTS };

static volatile int *control;
static const char *root;
static size_t root_length;

__attribute__((constructor)) static void start(void) {
  const char *place = getenv("FAULTS_BY");
  root = getenv("FAULTS_IN");
  if (!place || !root) return;
  root_length = strlen(root);
  int fd = open(place, O_RDWR | O_CLOEXEC);
  if (fd < 0) return;
  void *found = mmap(NULL, 4096, PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0);
  close(fd);
  if (found != MAP_FAILED) control = found;
}

static int below(const char *path) {
  return !strncmp(path, root, root_length) && (!path[root_length] || path[root_length] == '/');
}

static int of_fd(int fd) {
  char link[64], path[PATH_MAX];
  snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
  ssize_t length = readlink(link, path, sizeof path - 1);
  if (length < 0) return 0;
  path[length] = 0;
  return below(path);
}

static int of_path(int at, const char *path) {
  if (!path) return 0;
  if (path[0] == '/') return below(path);
  return at != AT_FDCWD && of_fd(at);
}

/* Whether this call is to be hit; 1 + how. */
static int struck(int sort, int inside) {
  if (!control || !inside) return 0;
  if (control[SORT] == EVERY) __atomic_add_fetch(&control[COUNTS + sort], 1, __ATOMIC_SEQ_CST);
  if (control[SORT] != sort) return 0;
  __atomic_add_fetch(&control[MET], 1, __ATOMIC_SEQ_CST);
  if (__atomic_sub_fetch(&control[THROUGH], 1, __ATOMIC_SEQ_CST) >= 0) return 0;
  if (__atomic_sub_fetch(&control[TO_HIT], 1, __ATOMIC_SEQ_CST) < 0) return 0;
  __atomic_add_fetch(&control[HIT], 1, __ATOMIC_SEQ_CST);
  return 1 + control[HOW];
}

static int armed(int sort) {
  return control && (control[SORT] == sort || control[SORT] == EVERY);
}

#define REAL(type, name, ...)                                   \
  static type (*real)(__VA_ARGS__);                             \
  if (!real) real = (type(*)(__VA_ARGS__))dlsym(RTLD_NEXT, #name)

#define HIT_OR(sort, inside, call)                              \
  int how = armed(sort) ? struck(sort, inside) : 0;             \
  if (how == 1 + NOT_DONE) { errno = control[ERROR]; return -1; } \
  if (how) { (void)!(call); errno = control[ERROR]; return -1; } \
  return call

#define OPENS(name, ...)                                        \
  mode_t mode = 0;                                              \
  if (flags & (O_CREAT | O_TMPFILE)) {                          \
    va_list more; va_start(more, flags); mode = va_arg(more, mode_t); va_end(more); \
  }

int open(const char *path, int flags, ...) {
  OPENS(open)
  REAL(int, open, const char *, int, ...);
  int how = armed(OPEN) ? struck(OPEN, of_path(AT_FDCWD, path)) : 0;
  if (how) { errno = control[ERROR]; return -1; }
  return real(path, flags, mode);
}
int open64(const char *path, int flags, ...) {
  OPENS(open64)
  REAL(int, open64, const char *, int, ...);
  int how = armed(OPEN) ? struck(OPEN, of_path(AT_FDCWD, path)) : 0;
  if (how) { errno = control[ERROR]; return -1; }
  return real(path, flags, mode);
}
int openat(int at, const char *path, int flags, ...) {
  OPENS(openat)
  REAL(int, openat, int, const char *, int, ...);
  int how = armed(OPEN) ? struck(OPEN, of_path(at, path)) : 0;
  if (how) { errno = control[ERROR]; return -1; }
  return real(at, path, flags, mode);
}
int openat64(int at, const char *path, int flags, ...) {
  OPENS(openat64)
  REAL(int, openat64, int, const char *, int, ...);
  int how = armed(OPEN) ? struck(OPEN, of_path(at, path)) : 0;
  if (how) { errno = control[ERROR]; return -1; }
  return real(at, path, flags, mode);
}

#define TRANSFER(sort, call, half)                              \
  int how = armed(sort) ? struck(sort, of_fd(fd)) : 0;          \
  if (how == 1 + HALF && count > 1) { count /= 2; return half; } \
  if (how) { if (how == 1 + DONE) (void)!(call); errno = control[ERROR]; return -1; } \
  return call

ssize_t read(int fd, void *to, size_t count) {
  REAL(ssize_t, read, int, void *, size_t);
  TRANSFER(READ, real(fd, to, count), real(fd, to, count));
}
ssize_t pread(int fd, void *to, size_t count, off_t at) {
  REAL(ssize_t, pread, int, void *, size_t, off_t);
  TRANSFER(READ, real(fd, to, count, at), real(fd, to, count, at));
}
ssize_t pread64(int fd, void *to, size_t count, off64_t at) {
  REAL(ssize_t, pread64, int, void *, size_t, off64_t);
  TRANSFER(READ, real(fd, to, count, at), real(fd, to, count, at));
}
ssize_t write(int fd, const void *from, size_t count) {
  REAL(ssize_t, write, int, const void *, size_t);
  TRANSFER(WRITE, real(fd, from, count), real(fd, from, count));
}
ssize_t pwrite(int fd, const void *from, size_t count, off_t at) {
  REAL(ssize_t, pwrite, int, const void *, size_t, off_t);
  TRANSFER(WRITE, real(fd, from, count, at), real(fd, from, count, at));
}
ssize_t pwrite64(int fd, const void *from, size_t count, off64_t at) {
  REAL(ssize_t, pwrite64, int, const void *, size_t, off64_t);
  TRANSFER(WRITE, real(fd, from, count, at), real(fd, from, count, at));
}

int fsync(int fd) { REAL(int, fsync, int); HIT_OR(FSYNC, of_fd(fd), real(fd)); }
int fdatasync(int fd) { REAL(int, fdatasync, int); HIT_OR(FSYNC, of_fd(fd), real(fd)); }

int close(int fd) {
  REAL(int, close, int);
  int how = armed(CLOSE) ? struck(CLOSE, of_fd(fd)) : 0;
  int done = real(fd); /* Linux frees it whatever it tells: close(2) */
  if (how) { errno = control[ERROR]; return -1; }
  return done;
}

int rename(const char *from, const char *to) {
  REAL(int, rename, const char *, const char *);
  HIT_OR(RENAME, of_path(AT_FDCWD, from) || of_path(AT_FDCWD, to), real(from, to));
}
int renameat(int at, const char *from, int to_at, const char *to) {
  REAL(int, renameat, int, const char *, int, const char *);
  HIT_OR(RENAME, of_path(at, from) || of_path(to_at, to), real(at, from, to_at, to));
}
int link(const char *from, const char *to) {
  REAL(int, link, const char *, const char *);
  HIT_OR(LINK, of_path(AT_FDCWD, to), real(from, to));
}
int linkat(int at, const char *from, int to_at, const char *to, int flags) {
  REAL(int, linkat, int, const char *, int, const char *, int);
  HIT_OR(LINK, of_path(to_at, to), real(at, from, to_at, to, flags));
}
int unlink(const char *path) {
  REAL(int, unlink, const char *);
  HIT_OR(UNLINK, of_path(AT_FDCWD, path), real(path));
}
int rmdir(const char *path) {
  REAL(int, rmdir, const char *);
  HIT_OR(UNLINK, of_path(AT_FDCWD, path), real(path));
}
int unlinkat(int at, const char *path, int flags) {
  REAL(int, unlinkat, int, const char *, int);
  HIT_OR(UNLINK, of_path(at, path), real(at, path, flags));
}
int mkdir(const char *path, mode_t mode) {
  REAL(int, mkdir, const char *, mode_t);
  HIT_OR(MKDIR, of_path(AT_FDCWD, path), real(path, mode));
}

#define STATS(name, type)                                       \
  int name(const char *path, struct type *to) {                 \
    REAL(int, name, const char *, struct type *);               \
    HIT_OR(STAT, of_path(AT_FDCWD, path), real(path, to));      \
  }
STATS(stat, stat)
STATS(lstat, stat)
STATS(stat64, stat64)
STATS(lstat64, stat64)
int fstat(int fd, struct stat *to) {
  REAL(int, fstat, int, struct stat *);
  HIT_OR(STAT, of_fd(fd), real(fd, to));
}
int fstat64(int fd, struct stat64 *to) {
  REAL(int, fstat64, int, struct stat64 *);
  HIT_OR(STAT, of_fd(fd), real(fd, to));
}
int fstatat(int at, const char *path, struct stat *to, int flags) {
  REAL(int, fstatat, int, const char *, struct stat *, int);
  HIT_OR(STAT, of_path(at, path), real(at, path, to, flags));
}
int fstatat64(int at, const char *path, struct stat64 *to, int flags) {
  REAL(int, fstatat64, int, const char *, struct stat64 *, int);
  HIT_OR(STAT, of_path(at, path), real(at, path, to, flags));
}

DIR *opendir(const char *path) {
  REAL(DIR *, opendir, const char *);
  if (armed(SCANDIR) && struck(SCANDIR, of_path(AT_FDCWD, path))) {
    errno = control[ERROR];
    return NULL;
  }
  return real(path);
}
struct dirent *readdir(DIR *folder) {
  REAL(struct dirent *, readdir, DIR *);
  if (armed(SCANDIR) && struck(SCANDIR, of_fd(dirfd(folder)))) {
    errno = control[ERROR];
    return NULL;
  }
  return real(folder);
}
struct dirent64 *readdir64(DIR *folder) {
  REAL(struct dirent64 *, readdir64, DIR *);
  if (armed(SCANDIR) && struck(SCANDIR, of_fd(dirfd(folder)))) {
    errno = control[ERROR];
    return NULL;
  }
  return real(folder);
}

/* Giving a lock up never fails. */
int flock(int fd, int operation) {
  REAL(int, flock, int, int);
  HIT_OR(LOCK, !(operation & LOCK_UN) && of_fd(fd), real(fd, operation));
}
#define LOCKS(name)                                             \
  int name(int fd, int command, ...) {                          \
    va_list more;                                               \
    va_start(more, command);                                    \
    void *with = va_arg(more, void *);                          \
    va_end(more);                                               \
    REAL(int, name, int, int, ...);                             \
    int locks = command == F_SETLK || command == F_SETLKW;      \
    locks = locks && ((struct flock *)with)->l_type != F_UNLCK; \
    HIT_OR(LOCK, locks && of_fd(fd), real(fd, command, with));  \
  }
LOCKS(fcntl)
LOCKS(fcntl64)

int inotify_add_watch(int fd, const char *path, uint32_t mask) {
  REAL(int, inotify_add_watch, int, const char *, uint32_t);
  HIT_OR(WATCH, of_path(AT_FDCWD, path), real(fd, path, mask));
}
