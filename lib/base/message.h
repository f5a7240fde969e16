/* lib/base/message.h: the last message of an object, a sentence for a person. */
#ifndef SL_BASE_MESSAGE_H
#define SL_BASE_MESSAGE_H

#include "strapline/base.h"

typedef struct sl__message {
    char text[600];
} sl__message;

#if defined(__GNUC__)
#define SL__PRINTF_LIKE(at, rest) __attribute__((format(printf, at, rest)))
#else
#define SL__PRINTF_LIKE(at, rest)
#endif

/* Sets the message and returns the status, so that a failing function ends in one line. */
sl_status sl__fail(sl__message *message, sl_status status, const char *format, ...)
    SL__PRINTF_LIKE(3, 4);

/* Adds to the message; what does not fit is cut. */
void sl__message_add(sl__message *message, const char *format, ...) SL__PRINTF_LIKE(2, 3);

#endif
