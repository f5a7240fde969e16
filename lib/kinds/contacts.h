/* lib/kinds/contacts.h: what switches of every shape have in common. */
#ifndef SL_KINDS_CONTACTS_H
#define SL_KINDS_CONTACTS_H

#include "kinds/heat.h"

enum { SL__CONTACTS_HOT, SL__CONTACTS_NOTICE_COUNT };

extern const sl_notice_def sl__contacts_notices[SL__CONTACTS_NOTICE_COUNT];

/* Says the watts of those of the first `count` elements that get hot, and drop more than least_v:
   a battery switch has a large body, and more volts while an engine cranks in the cold. */
void sl__contacts_notice(const sl__flow *flow, int32_t count, double least_v,
                         sl__notice_list *list);

#define SL__CONTACTS_HEAVY_V 0.2

#define SL__CONTACTS_LAW "a closed contact: v = i R; an open one: no current at any voltage"
#define SL__CONTACTS_STANDING "definition; " SL__CONTACT_HOT "; a battery switch above 0.2 V"

/* The resistance of each closed contact, with its usual value. */
#define SL__CONTACTS_RESISTANCE_ROW(ohm, source)                                                   \
    {                                                                                              \
        "resistance", SL_RESISTANCE, SL_DEFAULT, ohm, 0.0, 1e6, NULL,                              \
            "of each closed contact; 0 joins its two nodes into one", source                       \
    }

#endif
