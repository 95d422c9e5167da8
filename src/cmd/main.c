/* lipwalk's entry: finds the command and hands the call to it. */
#include <locale.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>

#include "lipwalk/cmd/args.h"
#include "lipwalk/cmd/commands.h"

static const struct {
    const char *name;
    int (*run)(int argc, char **argv);
    const char *help;
} commands[] = {
    {"chart", lw_cmd_chart, "read a lake map, say what was understood, cache its depth surface"},
    {"plan", lw_cmd_plan, "make a casting plan without a screen"},
    {"rehearse", lw_cmd_rehearse, "a simulated boat in wind, as NMEA 0183 or in a closed loop"},
    {"cue", lw_cmd_cue, "guidance without a screen, one JSON line for each epoch"},
    {"mark", lw_cmd_mark, "add a mark to the running trip from another terminal"},
};

static int help(void)
{
    printf(
        "usage: lipwalk [options]         the on-water screen; `lipwalk --help` for its options\n"
        "       lipwalk COMMAND [options] one of:\n\n");
    for (size_t i = 0; i < sizeof commands / sizeof *commands; i++)
        printf("  %-10s %s\n", commands[i].name, commands[i].help);
    printf("\n`lipwalk COMMAND --help` tells each one's options.\n"
           "Not for navigation. Local seasons, sanctuaries and regulations come first.\n");
    return lw_cmd_done("");
}

int main(int argc, char **argv)
{
    char fault[300];

    setlocale(LC_CTYPE, "");
    signal(SIGPIPE, SIG_IGN); /* a reader that leaves is an error to report, not a death */
    if (argc < 2 || argv[1][0] == '-')
        return lw_cmd_water(argc, argv);
    if (strcmp(argv[1], "help") == 0)
        return help();
    for (size_t i = 0; i < sizeof commands / sizeof *commands; i++)
        if (strcmp(argv[1], commands[i].name) == 0)
            return commands[i].run(argc - 1, argv + 1);
    snprintf(fault, sizeof fault, "there is no command \"%.100s\"; see `lipwalk help`", argv[1]);
    return lw_cmd_usage("", fault);
}
