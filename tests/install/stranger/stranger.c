/* What a stranger writes first: 12 V over 2 ohm and 4 ohm in series, and the 8 V between them. */
#include <strapline/strapline.h>

#include <math.h>
#include <stdio.h>

static sl_status add(sl_circuit *circuit, const char *kind, const char *name, const char *a,
                     const char *b, const double *values)
{
    const char *nodes[] = {a, b};
    sl_part_def def = {.kind = kind, .name = name, .nodes = nodes, .values = values};
    sl_part part;
    return sl_circuit_add(circuit, &def, &part);
}

int main(void)
{
    sl_circuit *circuit = NULL;
    sl_case *cs = NULL;
    double volts = 0.0;
    bool good =
        sl_circuit_new(NULL, &circuit) == SL_OK &&
        add(circuit, "source", "E1", "feed", "ground", (double[]){12.0, NAN}) == SL_OK &&
        add(circuit, "resistor", "R1", "feed", "middle", (double[]){2.0}) == SL_OK &&
        add(circuit, "resistor", "R2", "middle", "ground", (double[]){4.0}) == SL_OK &&
        sl_circuit_set_reference(circuit, sl_circuit_find_node(circuit, "ground")) == SL_OK &&
        sl_case_new(circuit, 0, &cs) == SL_OK && sl_case_solve(cs) == SL_OK &&
        sl_case_node(cs, sl_circuit_find_node(circuit, "middle"), &volts) == SL_OK &&
        fabs(volts - 8.0) < 1e-12;
    sl_case_free(cs);
    sl_circuit_free(circuit);
    printf("strapline %s\n", sl_version());
    return good ? 0 : 1;
}
