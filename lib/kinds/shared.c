/* lib/kinds/shared.c: what several kinds use, and the table of quantities. */
#include "kinds/kind.h"

#include <math.h>

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
