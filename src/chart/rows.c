/* One thread a slice; a thread that cannot be had is done by the caller's own. */
#include "rows.h"

#include <pthread.h>
#include <stdbool.h>
#include <unistd.h>

#define STACK_BYTES (256 * 1024) /* a small one: the importing child's memory is limited */

struct slice {
    lw_rows_fn *work;
    void *context;
    int number, from, end;
    pthread_t thread;
    bool started;
};

static void *do_slice(void *context)
{
    struct slice *slice = context;

    slice->work(slice->context, slice->number, slice->from, slice->end);
    return NULL;
}

void lw_rows_run(lw_rows_fn *work, void *context, int rows, int threads)
{
    struct slice slice[LW_THREADS_MAX];
    pthread_attr_t attr;
    bool small;

    threads = threads > LW_THREADS_MAX ? LW_THREADS_MAX : threads > rows ? rows : threads;
    if (threads < 2) {
        work(context, 0, 0, rows);
        return;
    }
    small = pthread_attr_init(&attr) == 0;
    if (small)
        pthread_attr_setstacksize(&attr, STACK_BYTES);
    for (int k = 0; k < threads; k++) {
        slice[k] = (struct slice){.work = work,
                                  .context = context,
                                  .number = k,
                                  .from = (int)((long)rows * k / threads),
                                  .end = (int)((long)rows * (k + 1) / threads)};
        if (k > 0)
            slice[k].started = pthread_create(&slice[k].thread, small ? &attr : NULL, do_slice,
                                              &slice[k]) == 0;
    }
    do_slice(&slice[0]);
    for (int k = 1; k < threads; k++) {
        if (slice[k].started)
            pthread_join(slice[k].thread, NULL);
        else
            do_slice(&slice[k]);
    }
    if (small)
        pthread_attr_destroy(&attr);
}

int lw_rows_threads(void)
{
    long n = sysconf(_SC_NPROCESSORS_ONLN);

    return n < 1 ? 1 : n > LW_THREADS_MAX ? LW_THREADS_MAX : (int)n;
}
