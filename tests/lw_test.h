/* Small helpers for tests: the folder of outside data, scratch files. */
#ifndef LW_TEST_H
#define LW_TEST_H

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Path of a file of the outside data ("lakes/sparkling.kml") into `to`. Where the folder is absent
 * the test is skipped with a notice; where CI=true it fails. */
static inline void lw_test_data(char *to, size_t size, const char *name)
{
    const char *root = getenv("LW_DATA");
    const char *ci = getenv("CI");

    if (!root)
        root = "../shared/data";
    snprintf(to, size, "%s/%s", root, name);
    if (access(to, R_OK) == 0)
        return;
    if (ci && strcmp(ci, "true") == 0)
        cr_assert_fail("%s is missing and CI=true: lay the outside data beside the checkout", to);
    cr_skip_test("%s is missing: outside data not there", to);
}

/* A fresh scratch folder under $TMPDIR or /tmp; the caller may leave it. */
static inline void lw_test_scratch(char *to, size_t size)
{
    const char *tmp = getenv("TMPDIR");

    snprintf(to, size, "%s/lipwalk-test-XXXXXX", tmp ? tmp : "/tmp");
    cr_assert_not_null(mkdtemp(to));
}

#endif
