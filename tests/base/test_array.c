/* An array that grows keeps what is in it, and stays as it was where it cannot grow. */
#include "lipwalk/base/array.h"

#include <stdint.h>

#include "lw_test.h"

Test(array, keeps_its_elements_as_it_grows)
{
    int *a = NULL;
    size_t n = 0, cap = 0;

    for (int i = 0; i < 1000; i++) {
        cr_assert_eq(lw_array_room(&a, n, &cap), 0);
        cr_assert_lt(n, cap);
        a[n++] = i;
    }
    for (int i = 0; i < 1000; i++)
        cr_assert_eq(a[i], i);
    cr_assert_leq(cap, 2000);
    free(a);
}

Test(array, stays_as_it_was_when_it_cannot_grow)
{
    char *a = NULL, *before;
    size_t cap = 0;

    cr_assert_eq(lw_array_room(&a, 0, &cap), 0);
    a[0] = 'x';
    before = a;
    cap = SIZE_MAX / 2;
    cr_assert_eq(lw_array_room(&a, cap, &cap), -1);
    cr_assert_eq(a, before);
    cr_assert_eq(a[0], 'x');
    cr_assert_eq(cap, SIZE_MAX / 2);
    free(a);
}
