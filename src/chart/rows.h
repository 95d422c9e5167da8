/* Work on the rows of a grid by several threads at once.
 *
 * Threads are made for the call and joined before it returns, so nothing of them outlives a fork.
 * The split into slices must not change what is computed; then one thread and many give the same.
 */
#ifndef LIPWALK_SRC_CHART_ROWS_H
#define LIPWALK_SRC_CHART_ROWS_H

#define LW_THREADS_MAX 8

/* Does rows from..end-1; slice counts from 0 and is nobody else's meanwhile. */
typedef void lw_rows_fn(void *context, int slice, int from, int end);
/* Calls work for slices that cover 0..rows-1, in as many threads as `threads` says. */
void lw_rows_run(lw_rows_fn *work, void *context, int rows, int threads);
/* How many processors there are, 8 at most. */
int lw_rows_threads(void);

#endif
