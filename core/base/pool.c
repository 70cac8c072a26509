#include "windassay/pool.h"

#include <pthread.h>
#include <stdlib.h>

typedef struct pool {
    pthread_mutex_t lock; /* guards what follows */
    size_t next;          /* task to be handed out */
    size_t failed;        /* smallest index that failed; `tasks` while none has */
    wa_status status;
    wa_error error;
    size_t tasks; /* fixed */
    wa_task task;
    void *context;
} pool;

/* Indices are handed out in order, so that when one is beyond a failure all later ones are. */
static void *work(void *argument)
{
    pool *p = argument;
    pthread_mutex_lock(&p->lock);
    while (p->next < p->failed) {
        size_t index = p->next++;
        pthread_mutex_unlock(&p->lock);
        wa_error error = {.code = WA_OK};
        wa_status s = p->task(p->context, index, &error);
        pthread_mutex_lock(&p->lock);
        if (s != WA_OK && index < p->failed) {
            p->failed = index;
            p->status = s;
            p->error = error;
        }
    }
    pthread_mutex_unlock(&p->lock);
    return NULL;
}

wa_status wa_pool_run(size_t jobs, size_t tasks, wa_task task, void *context, wa_error *err)
{
    pool p = {.failed = tasks, .tasks = tasks, .task = task, .context = context};
    size_t helpers = jobs < tasks ? jobs : tasks, started = 0;
    helpers -= helpers > 0; /* the calling thread works, too */
    pthread_t *threads = NULL;
    if (helpers > 0) {
        threads = calloc(helpers, sizeof *threads);
        if (threads == NULL)
            return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    }
    if (pthread_mutex_init(&p.lock, NULL) != 0) {
        free(threads);
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    }
    while (started < helpers && pthread_create(&threads[started], NULL, work, &p) == 0)
        started++;
    work(&p);
    for (size_t i = 0; i < started; i++)
        pthread_join(threads[i], NULL);
    pthread_mutex_destroy(&p.lock);
    free(threads);
    if (p.failed < tasks && err != NULL)
        *err = p.error;
    return p.failed < tasks ? p.status : WA_OK;
}
