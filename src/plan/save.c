#include "lipwalk/plan/save.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static int write_all(int fd, const char *bytes, size_t size)
{
    while (size > 0) {
        ssize_t done = write(fd, bytes, size);

        if (done < 0 && errno == EINTR)
            continue;
        if (done < 0)
            return -1;
        bytes += done;
        size -= (size_t)done;
    }
    return 0;
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
    reason = write_all(fd, bytes, size) ? errno : 0;
    if (close(fd) && !reason)
        reason = errno;
    return reason ? cannot(err, path, reason) : 0;
}

int lw_file_save(const char *path, const void *bytes, size_t size, struct lw_error *err)
{
    char real[PATH_MAX], temp[PATH_MAX + 32];
    struct stat st;
    int fd, reason;

    if (!realpath(path, real)) { /* not there yet, or its folder is not: open() will tell */
        if (strlen(path) >= sizeof real)
            return cannot(err, path, ENAMETOOLONG);
        strcpy(real, path);
    } else if (stat(real, &st) == 0 && !S_ISREG(st.st_mode)) {
        return save_direct(path, bytes, size, err);
    }
    snprintf(temp, sizeof temp, "%s.%ld.new", real, (long)getpid());
    fd = open(temp, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0666);
    if (fd < 0)
        return cannot(err, path, errno);
    reason = write_all(fd, bytes, size) || fsync(fd) ? errno : 0;
    if (close(fd) && !reason)
        reason = errno;
    if (!reason && rename(temp, real))
        reason = errno;
    if (!reason)
        return 0;
    unlink(temp);
    return cannot(err, path, reason);
}
