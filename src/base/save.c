#include "lipwalk/base/save.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

int lw_write_all(int fd, const void *bytes, size_t size)
{
    const char *at = bytes;

    while (size > 0) {
        ssize_t done = write(fd, at, size);

        if (done < 0 && errno == EINTR)
            continue;
        if (done < 0)
            return -1;
        at += done;
        size -= (size_t)done;
    }
    return 0;
}

void lw_file_draft(char *to, size_t size, const char *path, pid_t pid)
{
    snprintf(to, size, "%s.%ld.new", path, (long)pid);
}

static int cannot(struct lw_error *err, const char *path, int reason)
{
    return lw_fail(err, "%s cannot be written: %s; free some space or give another path", path,
                   strerror(reason));
}

static int save_direct(const char *path, const void *bytes, size_t size, struct lw_error *err)
{
    int fd = open(path, O_WRONLY | O_CLOEXEC);
    int reason;

    if (fd < 0)
        return cannot(err, path, errno);
    reason = lw_write_all(fd, bytes, size) ? errno : 0;
    if (close(fd) && !reason)
        reason = errno;
    return reason ? cannot(err, path, reason) : 0;
}

int lw_file_save(const char *path, mode_t mode, const void *bytes, size_t size,
                 struct lw_error *err)
{
    char real[PATH_MAX], draft[PATH_MAX + 32];
    struct stat st;
    int fd, reason;

    if (!realpath(path, real)) { /* not there yet, or its folder is not: open() will tell */
        if (strlen(path) >= sizeof real)
            return cannot(err, path, ENAMETOOLONG);
        strcpy(real, path);
    } else if (stat(real, &st) == 0 && !S_ISREG(st.st_mode)) {
        return save_direct(path, bytes, size, err);
    }
    lw_file_draft(draft, sizeof draft, real, getpid());
    fd = open(draft, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, mode);
    if (fd < 0)
        return cannot(err, path, errno);
    reason = lw_write_all(fd, bytes, size) || fsync(fd) ? errno : 0;
    if (close(fd) && !reason)
        reason = errno;
    if (!reason && rename(draft, real))
        reason = errno;
    if (!reason)
        return 0;
    unlink(draft);
    return cannot(err, path, reason);
}
