#include "windassay/lock.h"

#include <assert.h>
#include <pthread.h>
#include <stddef.h>
#include <stdlib.h>

struct wa_lock {
    pthread_mutex_t mutex;
    pthread_cond_t changed;
};

wa_lock *wa_lock_new(void)
{
    wa_lock *lock = malloc(sizeof *lock);
    if (lock != NULL && pthread_mutex_init(&lock->mutex, NULL) != 0) {
        free(lock);
        return NULL;
    }
    if (lock != NULL && pthread_cond_init(&lock->changed, NULL) != 0) {
        pthread_mutex_destroy(&lock->mutex);
        free(lock);
        return NULL;
    }
    return lock;
}

void wa_lock_free(wa_lock *lock)
{
    if (lock == NULL)
        return;
    pthread_cond_destroy(&lock->changed);
    pthread_mutex_destroy(&lock->mutex);
    free(lock);
}

void wa_lock_take(wa_lock *lock)
{
    int failed = pthread_mutex_lock(&lock->mutex);
    assert(failed == 0);
    (void)failed;
}

void wa_lock_leave(wa_lock *lock)
{
    int failed = pthread_mutex_unlock(&lock->mutex);
    assert(failed == 0);
    (void)failed;
}

void wa_lock_wait(wa_lock *lock)
{
    int failed = pthread_cond_wait(&lock->changed, &lock->mutex);
    assert(failed == 0);
    (void)failed;
}

void wa_lock_wake(wa_lock *lock)
{
    int failed = pthread_cond_broadcast(&lock->changed);
    assert(failed == 0);
    (void)failed;
}
