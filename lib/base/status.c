/* lib/base/status.c: names and texts of the status codes, and the version. */
#include "strapline/base.h"

const char *sl_status_text(sl_status status)
{
    switch (status) {
#define SL_STATUS_TEXT(name, value, text)                                                          \
    case name:                                                                                     \
        return text;
        SL_STATUS_LIST(SL_STATUS_TEXT)
#undef SL_STATUS_TEXT
    }
    return "unknown status";
}

const char *sl_status_name(sl_status status)
{
    switch (status) {
#define SL_STATUS_NAME(name, value, text)                                                          \
    case name:                                                                                     \
        return #name;
        SL_STATUS_LIST(SL_STATUS_NAME)
#undef SL_STATUS_NAME
    }
    return "unknown";
}

const char *sl_version(void)
{
    return STRAPLINE_VERSION;
}
