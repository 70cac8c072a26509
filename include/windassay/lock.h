/* lock.h - one thread at a time. */
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

#ifdef __cplusplus
}
#endif
#endif
