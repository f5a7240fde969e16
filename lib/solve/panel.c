/* lib/solve/panel.c: what the studs of a panel carry. */
#include "solve/solve.h"

#include "strapline/panel.h"

sl_status sl_case_stud(const sl_case *cs, sl_panel panel, int32_t stud, double *current_a)
{
    const sl_node node = sl_circuit_stud_node(cs->circuit, panel, stud);
    sl_part first = 0;
    int32_t count = 0;
    if (!cs->solved || node == SL_NONE ||
        sl_circuit_panel_parts(cs->circuit, panel, &first, &count) != SL_OK) {
        return SL_E_ARG;
    }
    const sl__answer *answer = &cs->answer[cs->view];
    sl__pair sum = sl__pair_of(0.0);
    for (sl_part part = first; part < first + count; part++) {
        const sl__pair i = answer->i[cs->branch_at[part]];
        if (sl__case_terminal(cs, part, 0) == node) {
            sum = sl__pair_add(sum, i);
        } else if (sl__case_terminal(cs, part, 1) == node) {
            sum = sl__pair_sub(sum, i);
        }
    }
    *current_a = sl__pair_value(sum);
    return SL_OK;
}
