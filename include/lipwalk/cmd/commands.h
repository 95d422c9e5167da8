/* The commands: one row each in the table, one file each in src/cmd. */
#ifndef LIPWALK_CMD_COMMANDS_H
#define LIPWALK_CMD_COMMANDS_H

/* Each takes its own name as argv[0] and returns the exit status: 0 done, 1 it could not be done, 2
 * the call itself is wrong. */
int lw_cmd_water(int argc, char **argv); /* `lipwalk` itself: the on-water screen */
int lw_cmd_chart(int argc, char **argv);
int lw_cmd_plan(int argc, char **argv);
int lw_cmd_rehearse(int argc, char **argv);
int lw_cmd_cue(int argc, char **argv);
int lw_cmd_mark(int argc, char **argv);

#endif
