/// strapline/base.h: what every other header needs: status codes, the allocator, the version.
///
/// Names: `sl_noun_verb` is public; `sl__name` is shared inside the library and may change.
/// Status: 0 is success, above 0 is success with a remark, below 0 is failure; after a failure
/// the outputs of the call are untouched unless its comment says otherwise.
/// Threads: the library keeps no global state. One thread at a time may use one object and the
/// objects made from it; distinct circuits are independent.
#ifndef STRAPLINE_BASE_H
#define STRAPLINE_BASE_H

#include <stddef.h>
#include <stdint.h>

#if defined(STRAPLINE_SHARED) && defined(__GNUC__)
#define SL_API __attribute__((visibility("default")))
#else
#define SL_API
#endif

#ifdef __cplusplus
extern "C" {
#endif

/// Every status: name, value, text.
#define SL_STATUS_LIST(X)                                                                          \
    X(SL_OK, 0, "ok")                                                                              \
    X(SL_W_FLOATING, 1, "no path to the reference: the voltage is not defined")                    \
    X(SL_W_UNDETERMINED, 2, "a loop without resistance: the current is not defined")               \
    X(SL_E_NOMEM, -1, "out of memory")                                                             \
    X(SL_E_ARG, -2, "argument out of range")                                                       \
    X(SL_E_NAME, -3, "unknown or repeated name")                                                   \
    X(SL_E_VALUE, -4, "value outside what is allowed")                                             \
    X(SL_E_REFERENCE, -5, "nothing to measure against: no reference and no battery")               \
    X(SL_E_CONTRADICTION, -6, "the sources contradict each other")                                 \
    X(SL_E_CONVERGENCE, -7, "no operating point found")                                            \
    X(SL_E_QUALITY, -8, "the solution does not pass its own proof")                                \
    X(SL_E_STOPPED, -9, "stopped by the caller")

typedef enum sl_status {
#define SL_STATUS_ENUM(name, value, text) name = value,
    SL_STATUS_LIST(SL_STATUS_ENUM)
#undef SL_STATUS_ENUM
} sl_status;

/// The text of a status, never NULL. Static storage. Any thread.
SL_API const char *sl_status_text(sl_status status);

/// The name of a status as written in C ("SL_E_VALUE"), never NULL. Static storage. Any thread.
SL_API const char *sl_status_name(sl_status status);

/// One function allocates, grows and frees.
/// `resize(user, NULL, 0, n)` allocates n bytes, `resize(user, p, old, n)` grows or shrinks, and
/// `resize(user, p, old, 0)` frees and returns NULL. Failure returns NULL and leaves p as it was.
typedef struct sl_alloc {
    void *(*resize)(void *user, void *block, size_t old_bytes, size_t new_bytes);
    void *user;
} sl_alloc;

/// The version of the library as "major.minor.patch". Static storage. Any thread.
SL_API const char *sl_version(void);

#ifdef __cplusplus
}
#endif
#endif
