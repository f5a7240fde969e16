/* lib/kinds/shared.c: what several kinds use, and the table of quantities. */
#include <math.h>
#include <string.h>

#include "kinds/heat.h"

double sl__temperature_or(double own_c, double ambient_c)
{
    return isnan(own_c) ? ambient_c : own_c;
}

void sl__notice(sl__notice_list *list, int32_t index, double value)
{
    if (list->count < SL__COUNT(list->item)) {
        list->item[list->count].index = index;
        list->item[list->count].value = value;
        list->count++;
    }
}

void sl__notices_of(const sl__kind *kind, const double *p, int32_t state, const sl__flow *flow,
                    sl__notice_list *list)
{
    const int32_t last = kind->about.notice_count - 1;
    if (kind->notice) {
        kind->notice(p, state, flow, list);
    }
    if (last < 0 || strcmp(kind->about.notices[last].name, SL__HOT_SPOT) != 0) {
        return;
    }
    double watts = 0.0;
    for (int32_t e = 0; e < kind->about.element_count; e++) {
        const sl__flow added = {.added_v = flow[e].added_v, .i = flow[e].i};
        watts += sl__contact_hot(&added);
    }
    if (watts > 0.0) {
        sl__notice(list, last, watts);
    }
}

void sl__law_resistor(sl__law *law, double ohm)
{
    law->form = SL__OHMIC;
    law->ohm = ohm;
}

static const struct {
    const char *unit, *text;
    bool bare;
} quantities[] = {
#define QUANTITY(name, unit, bare, text) {unit, text, bare},
    SL_QUANTITY_LIST(QUANTITY)
#undef QUANTITY
};

const char *sl_use_text(sl_use use)
{
    static const char *const texts[] = {
#define USE_TEXT(name, text) text,
        SL_USE_LIST(USE_TEXT)
#undef USE_TEXT
    };
    return texts[use];
}

const char *sl_quantity_unit(sl_quantity quantity)
{
    return quantities[quantity].unit;
}

const char *sl_quantity_text(sl_quantity quantity)
{
    return quantities[quantity].text;
}

bool sl_quantity_bare(sl_quantity quantity)
{
    return quantities[quantity].bare;
}
