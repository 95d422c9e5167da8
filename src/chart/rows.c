/* The caller and its helpers take piece after piece, so that a helper that the system has put aside
 * holds nobody up for longer than its own piece. */
#include "rows.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdlib.h>
#include <unistd.h>

#define STACK_BYTES (256 * 1024) /* a small one: the importing child's memory is limited */
#define LEAST_ROWS  24           /* a piece starts with a few rows' worth of work in vain */
#define PIECES      4            /* for each thread */
/* Looks for work before sleeping, some 50 microseconds: while the small grids are one thread's, the
 * helper waits about so long, and to wake a sleeper costs more. */
#define SPINS 50000

struct helper {
    struct lw_team *team;
    int slot;
    pthread_t thread;
};
struct lw_team {
    pthread_mutex_t mutex;
    pthread_cond_t wake, idle;
    int helpers;
    atomic_uint number; /* of the job, so that a helper sees a new one */
    atomic_int next;    /* piece to take */
    atomic_int busy;    /* helpers within the job; they come and go with the mutex held */
    bool open, end;     /* with the mutex held, as the job itself: */
    lw_rows_fn *work;
    void *context;
    int rows, pieces;
    struct helper helper[LW_THREADS_MAX];
};

static void take_pieces(struct lw_team *team, int slot)
{
    int piece;

    while ((piece = atomic_fetch_add(&team->next, 1)) < team->pieces)
        team->work(team->context, slot, (int)((long)team->rows * piece / team->pieces),
                   (int)((long)team->rows * (piece + 1) / team->pieces));
}

static void *help(void *context)
{
    struct helper *helper = context;
    struct lw_team *team = helper->team;
    unsigned seen = 0;

    for (;;) {
        for (int k = 0; k < SPINS && atomic_load(&team->number) == seen; k++)
            ;
        pthread_mutex_lock(&team->mutex);
        while (atomic_load(&team->number) == seen && !team->end)
            pthread_cond_wait(&team->wake, &team->mutex);
        if (team->end)
            break;
        seen = atomic_load(&team->number);
        if (team->open) {
            atomic_fetch_add(&team->busy, 1);
            pthread_mutex_unlock(&team->mutex);
            take_pieces(team, helper->slot);
            pthread_mutex_lock(&team->mutex);
            if (atomic_fetch_sub(&team->busy, 1) == 1)
                pthread_cond_signal(&team->idle);
        }
        pthread_mutex_unlock(&team->mutex);
    }
    pthread_mutex_unlock(&team->mutex);
    return NULL;
}

struct lw_team *lw_team_new(int threads)
{
    struct lw_team *team = threads > 1 ? calloc(1, sizeof *team) : NULL;
    pthread_attr_t attr;
    bool small;

    if (!team)
        return NULL;
    pthread_mutex_init(&team->mutex, NULL);
    pthread_cond_init(&team->wake, NULL);
    pthread_cond_init(&team->idle, NULL);
    small = pthread_attr_init(&attr) == 0;
    if (small)
        pthread_attr_setstacksize(&attr, STACK_BYTES);
    for (int k = 0; k + 1 < threads && k + 1 < LW_THREADS_MAX; k++) {
        team->helper[k] = (struct helper){.team = team, .slot = k + 1};
        if (pthread_create(&team->helper[k].thread, small ? &attr : NULL, help, &team->helper[k]))
            break;
        team->helpers++;
    }
    if (small)
        pthread_attr_destroy(&attr);
    if (!team->helpers) {
        lw_team_free(team);
        return NULL;
    }
    return team;
}

void lw_team_free(struct lw_team *team)
{
    if (!team)
        return;
    pthread_mutex_lock(&team->mutex);
    team->end = true;
    atomic_fetch_add(&team->number, 1);
    pthread_cond_broadcast(&team->wake);
    pthread_mutex_unlock(&team->mutex);
    for (int k = 0; k < team->helpers; k++)
        pthread_join(team->helper[k].thread, NULL);
    pthread_cond_destroy(&team->idle);
    pthread_cond_destroy(&team->wake);
    pthread_mutex_destroy(&team->mutex);
    free(team);
}

int lw_team_size(const struct lw_team *team)
{
    return team ? team->helpers + 1 : 1;
}

void lw_team_run(struct lw_team *team, lw_rows_fn *work, void *context, int rows)
{
    int pieces = team ? PIECES * (team->helpers + 1) : 1;

    pieces = pieces > rows / LEAST_ROWS ? rows / LEAST_ROWS : pieces;
    if (pieces < 2) {
        work(context, 0, 0, rows);
        return;
    }
    pthread_mutex_lock(&team->mutex);
    team->work = work;
    team->context = context;
    team->rows = rows;
    team->pieces = pieces;
    team->open = true;
    atomic_store(&team->next, 0);
    atomic_fetch_add(&team->number, 1);
    pthread_cond_broadcast(&team->wake);
    pthread_mutex_unlock(&team->mutex);
    take_pieces(team, 0);
    for (int k = 0; k < SPINS && atomic_load(&team->busy) > 0; k++)
        ;
    pthread_mutex_lock(&team->mutex);
    team->open = false;
    while (atomic_load(&team->busy) > 0)
        pthread_cond_wait(&team->idle, &team->mutex);
    pthread_mutex_unlock(&team->mutex);
}

int lw_rows_threads(void)
{
    long n = sysconf(_SC_NPROCESSORS_ONLN);

    return n < 1 ? 1 : n > LW_THREADS_MAX ? LW_THREADS_MAX : (int)n;
}
