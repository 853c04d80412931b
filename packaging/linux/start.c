/* The head of the single file: unpacks what follows it into the user's cache, once, and starts it from there.
 *
 * The file is this program, then a tar archive packed with zstd, then 16 bytes: where the archive begins (8 bytes, the
 * lowest first) and MAGIC. It needs no FUSE and no decompressor of the system's; tar is on every desktop.
 */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>
#include <zstd.h>

#ifndef ID
#error "give the name of the folder to unpack into: -DID='\"0.1.0-0123456789abcdef\"'"
#endif
#define MAGIC "TACKSIDE"

static char *unfinished; /* what is being unpacked: removed where that fails */

static void fail(const char *what)
{
    int reason = errno;
    if (unfinished != NULL) {
        pid_t child = fork();
        if (child == 0) {
            execlp("rm", "rm", "-rf", "--", unfinished, (char *)NULL);
            _exit(127);
        }
        waitpid(child, NULL, 0);
    }
    errno = reason;
    fprintf(stderr, "tackside: cannot unpack: %s: %s; make room in your home folder, or set XDG_CACHE_HOME to a folder "
                    "with 1 GB free\n", what, strerror(errno));
    exit(2);
}

static char *joined(const char *folder, const char *name)
{
    char *path;
    if (asprintf(&path, "%s/%s", folder, name) < 0)
        fail("memory");
    return path;
}

static void make(const char *folder)
{
    if (mkdir(folder, 0700) != 0 && errno != EEXIST)
        fail(folder);
}

/* $XDG_CACHE_HOME/tackside/unpacked, or ~/.cache/tackside/unpacked: the XDG base directory specification. */
static char *cache(void)
{
    const char *base = getenv("XDG_CACHE_HOME"), *home = getenv("HOME");
    char *folder;
    if (base != NULL && base[0] == '/')
        folder = strdup(base);
    else if (home != NULL && home[0] == '/')
        folder = joined(home, ".cache");
    else {
        errno = ENOENT;
        fail("HOME");
    }
    make(folder);
    folder = joined(folder, "tackside");
    make(folder);
    folder = joined(folder, "unpacked");
    make(folder);
    return folder;
}

static pid_t run(char *const words[], int input)
{
    pid_t child = fork();
    if (child < 0)
        fail("fork");
    if (child == 0) {
        if (input >= 0)
            dup2(input, STDIN_FILENO);
        execvp(words[0], words);
        perror(words[0]);
        _exit(127);
    }
    return child;
}

static int worked(pid_t child)
{
    int status;
    while (waitpid(child, &status, 0) < 0)
        if (errno != EINTR)
            return 0;
    return WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

static void write_all(int file, const char *bytes, size_t count)
{
    while (count > 0) {
        ssize_t done = write(file, bytes, count);
        if (done < 0 && errno == EINTR)
            continue;
        if (done < 0)
            fail("tar");
        bytes += done;
        count -= (size_t)done;
    }
}

/* Unpack the archive that lies from start to end in file. */
static void unpack(int file, off_t start, off_t end, const char *folder)
{
    int ends[2];
    if (pipe2(ends, O_CLOEXEC) != 0)
        fail("pipe");
    fcntl(ends[1], F_SETPIPE_SZ, 1 << 20); /* fewer turns from one program to the other; a refusal costs nothing else */
    char *tar[] = {"tar", "-x", "-f", "-", "-C", (char *)folder, NULL};
    pid_t child = run(tar, ends[0]);
    close(ends[0]);
    ZSTD_DCtx *packed = ZSTD_createDCtx();
    ZSTD_DCtx_setParameter(packed, ZSTD_d_windowLogMax, 31);
    size_t in_size = 1 << 20, out_size = 1 << 20, left = 0;
    char *in = malloc(in_size), *out = malloc(out_size);
    if (packed == NULL || in == NULL || out == NULL)
        fail("memory");
    posix_fadvise(file, start, end - start, POSIX_FADV_SEQUENTIAL);
    while (start < end) {
        ssize_t got = pread(file, in, in_size < (size_t)(end - start) ? in_size : (size_t)(end - start), start);
        if (got <= 0)
            fail("reading");
        start += got;
        ZSTD_inBuffer from = {in, (size_t)got, 0};
        while (from.pos < from.size) {
            ZSTD_outBuffer to = {out, out_size, 0};
            left = ZSTD_decompressStream(packed, &to, &from);
            if (ZSTD_isError(left)) {
                errno = EILSEQ;
                fail("the file is damaged, fetch it again");
            }
            write_all(ends[1], out, to.pos);
        }
    }
    close(ends[1]);
    if (left != 0 || !worked(child)) {
        errno = left != 0 ? EILSEQ : ENOSPC;
        fail(folder);
    }
    /* All on the disk before it gets its name: a power cut leaves no half of a program that looks whole. */
    int opened = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (opened < 0 || syncfs(opened) != 0)
        fail(folder);
    close(opened);
}

int main(int count, char *words[])
{
    signal(SIGPIPE, SIG_IGN);
    int file = open("/proc/self/exe", O_RDONLY | O_CLOEXEC);
    unsigned char tail[16];
    struct stat state;
    if (file < 0 || fstat(file, &state) != 0 || pread(file, tail, 16, state.st_size - 16) != 16)
        fail("this file");
    if (memcmp(tail + 8, MAGIC, 8) != 0) {
        errno = EILSEQ;
        fail("the file is damaged, fetch it again");
    }
    uint64_t start = 0;
    for (int place = 7; place >= 0; place--)
        start = start << 8 | tail[place];

    char *folder = cache(), *home = joined(folder, ID), *program = joined(home, "tackside/tackside");
    if (access(program, X_OK) != 0) {
        char *part = joined(folder, ".part-XXXXXX");
        if (mkdtemp(part) == NULL)
            fail(part);
        unfinished = part;
        unpack(file, (off_t)start, state.st_size - 16, part);
        unfinished = NULL;
        if (rename(part, home) != 0) { /* another start was quicker: its folder is as good */
            char *remove[] = {"rm", "-rf", "--", part, NULL};
            worked(run(remove, -1));
        }
    }
    utimensat(AT_FDCWD, home, NULL, 0); /* used now: folders of older versions are told by it */
    close(file);
    signal(SIGPIPE, SIG_DFL);
    words[0] = program;
    execv(program, words);
    fail(program);
    (void)count;
}
