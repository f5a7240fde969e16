/* lib/base/message.c: messages are built in place, never allocated, so they work without memory. */
#include "base/message.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

sl_status sl__fail(sl__message *message, sl_status status, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    vsnprintf(message->text, sizeof message->text, format, args);
    va_end(args);
    return status;
}

void sl__message_add(sl__message *message, const char *format, ...)
{
    size_t used = strlen(message->text);
    va_list args;
    va_start(args, format);
    vsnprintf(message->text + used, sizeof message->text - used, format, args);
    va_end(args);
}
