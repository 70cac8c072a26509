/* lock.h - one thread at a time, and waiting for what another one does. */
#ifndef WINDASSAY_LOCK_H
#define WINDASSAY_LOCK_H

#ifdef __cplusplus
extern "C" {
#endif

typedef struct wa_lock wa_lock;

/** NULL when memory runs out. */
wa_lock *wa_lock_new(void);
void wa_lock_free(wa_lock *lock);
/** Waits until no other thread holds it. Not to be taken twice by one thread. */
void wa_lock_take(wa_lock *lock);
void wa_lock_leave(wa_lock *lock);

/** With the lock taken: leaves it, waits until another thread wakes those that wait (or for no
 *  reason at all: look again), and takes it again. */
void wa_lock_wait(wa_lock *lock);
/** Wakes all that wait. */
void wa_lock_wake(wa_lock *lock);

#ifdef __cplusplus
}
#endif
#endif
