/* Work on the rows of a grid by several threads at once.
 *
 * A team lives for one solve and is ended before that returns, so nothing of it outlives a fork.
 * Which thread does which rows must not change what is computed; then one thread and many give the
 * same. */
#ifndef LIPWALK_SRC_CHART_ROWS_H
#define LIPWALK_SRC_CHART_ROWS_H

#define LW_THREADS_MAX 8

/* Does rows from..end-1; `slot` counts the team's threads from 0 and is nobody else's meanwhile. */
typedef void lw_rows_fn(void *context, int slot, int from, int end);

struct lw_team;
/* NULL where one thread is asked for or no more can be had; the functions below take NULL as the
 * caller alone. */
struct lw_team *lw_team_new(int threads);
void lw_team_free(struct lw_team *team);
int lw_team_size(const struct lw_team *team);
/* Calls work for pieces that cover 0..rows-1 and returns when all are done. */
void lw_team_run(struct lw_team *team, lw_rows_fn *work, void *context, int rows);
/* How many processors there are, LW_THREADS_MAX at most. */
int lw_rows_threads(void);

#endif
