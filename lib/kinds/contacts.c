/* lib/kinds/contacts.c: contacts that get hot. */
#include "kinds/contacts.h"

#include <math.h>

const sl_notice_def sl__contacts_notices[] = {
    [SL__CONTACTS_HOT] = {"hot", SL_POWER, "hot: @ in its contacts"},
};

void sl__contacts_notice(const sl__flow *flow, int32_t count, double least_v, sl__notice_list *list)
{
    double watts = 0.0;
    for (int32_t n = 0; n < count; n++) {
        bool counts = fabs(flow[n].v + flow[n].added_v) > least_v;
        watts += counts ? sl__contact_hot(&flow[n]) : 0.0;
    }
    if (watts > 0.0) {
        sl__notice(list, SL__CONTACTS_HOT, watts);
    }
}
