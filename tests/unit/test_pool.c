/* The worker pool: every task once, and the same error for every number of jobs. */
#include "windassay/pool.h"

#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

enum { TASKS = 500 };

typedef struct plan {
    int ran[TASKS]; /* each written by its own task only */
    size_t first_bad, second_bad;
    pthread_t threads[TASKS];
} plan;

static wa_status one(void *context, size_t index, wa_error *err)
{
    plan *p = context;
    p->ran[index]++;
    p->threads[index] = pthread_self();
    if (index == p->first_bad) { /* fails, but late */
        nanosleep(&(struct timespec){.tv_nsec = 3000000}, NULL);
        return wa_fail_at(err, WA_ERR_DATA, "a.csv", 7, 0, "task %zu is bad", index);
    }
    if (index == p->second_bad)
        return wa_fail(err, WA_ERR_IO, "task %zu is bad", index);
    return WA_OK;
}

static void every_task_once(void **state)
{
    (void)state;
    const size_t jobs[] = {0, 1, 2, 3, 8, 1000};
    for (size_t k = 0; k < sizeof jobs / sizeof *jobs; k++) {
        static plan p;
        p = (plan){.first_bad = TASKS, .second_bad = TASKS};
        wa_error err = {.code = WA_OK, .text = "untouched"};
        assert_int_equal(wa_pool_run(jobs[k], TASKS, one, &p, &err), WA_OK);
        assert_string_equal(err.text, "untouched");
        for (size_t i = 0; i < TASKS; i++) {
            assert_int_equal(p.ran[i], 1);
            if (jobs[k] <= 1)
                assert_true(pthread_equal(p.threads[i], pthread_self()));
        }
    }
}

static void first_error_by_index(void **state)
{
    (void)state;
    for (size_t jobs = 1; jobs <= 8; jobs++) {
        static plan p;
        p = (plan){.first_bad = 40, .second_bad = 42};
        wa_error err = {.code = WA_OK};
        assert_int_equal(wa_pool_run(jobs, TASKS, one, &p, &err), WA_ERR_DATA);
        assert_string_equal(err.text, "task 40 is bad");
        assert_string_equal(err.file, "a.csv");
        assert_int_equal(err.line, 7);
        for (size_t i = 0; i <= 40; i++)
            assert_int_equal(p.ran[i], 1);
        for (size_t i = 43 + jobs; i < TASKS; i++) /* only those already under way */
            assert_true(jobs > 1 || p.ran[i] == 0);
        if (jobs == 1)
            assert_int_equal(p.ran[41], 0);
        assert_int_equal(wa_pool_run(jobs, TASKS, one, &p, NULL), WA_ERR_DATA);
    }
}

static void no_task_is_fine(void **state)
{
    (void)state;
    assert_int_equal(wa_pool_run(4, 0, one, NULL, NULL), WA_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_task_once),
        cmocka_unit_test(first_error_by_index),
        cmocka_unit_test(no_task_is_fine),
    };
    return cmocka_run_group_tests_name("pool", tests, NULL, NULL);
}
