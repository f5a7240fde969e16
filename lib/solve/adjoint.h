/* lib/solve/adjoint.h: how a reading of a solved case moves with the laws of its branches.

   The network is linearised at the answer (the slope of each curve is a conductance; every state is
   held) and solved once more, fed by the reading instead of the sources. By Tellegen's theorem the
   currents j and voltages psi of that second network weigh what each law changes at the voltage and
   current it has:
     v = E + i R      adds   j (dE + i dR), for links (R = 0) and ideal sources as well
     i = f(v)         adds  -psi df
     a fixed current  adds  -psi dI
   Parts that adjust themselves are differentiated through: each keeps x = F, so what a change makes
   of F - x, itself a sum of voltages and currents, is weighed too.
   Source: S. W. Director and R. A. Rohrer, "The generalized adjoint network and network
   sensitivities", IEEE Trans. Circuit Theory 16 (1969) 318-323. */
#ifndef SL_SOLVE_ADJOINT_H
#define SL_SOLVE_ADJOINT_H

#include "solve/solve.h"

typedef struct sl__adjoint {
    sl_case *cs;
    sl__arena arena;
    double *volts;    /* [nodes] how much each node's voltage counts in the reading */
    double *amps;     /* [branches] how much each branch's current counts */
    double *j;        /* [branches] A per unit of the reading */
    double *psi;      /* [branches] V per unit of the reading, across what conducts */
    double *push;     /* [trimming_count] how much F - x of each part that adjusts itself counts */
    int32_t *trim_of; /* [parts] its place in cs->trimming, or -1 */
    sl__pair *inject, *v, *work, *emf, *i;
    double *b;
} sl__adjoint;

/* The derivative of a function of one number: the sum of weight[m] times its value at at[m]. */
typedef struct sl__stencil {
    int32_t count;
    double at[3], weight[3];
} sl__stencil;

/* A stencil at x with steps h that keeps within [least, greatest]; errors of order h^2. */
sl__stencil sl__stencil_at(double x, double h, double least, double greatest);

/* Sets the case's network at the answer that is in view, and solves it for a reading. The case must
   be solved; its answers stay. Messages go to the case.
   @return SL_OK; SL_E_ARG; SL_W_FLOATING, SL_W_UNDETERMINED (no such reading);
   SL_E_CONVERGENCE (a falling curve has no stable slope here); SL_E_NOMEM. Close in any case. */
sl_status sl__adjoint_open(sl_case *cs, const sl_reading *of, sl__adjoint *a);
void sl__adjoint_close(sl__adjoint *a);

/* The derivative of the reading by what moves the parameters of one part and the temperature around
   it: values[m] are its complete parameters and celsius[m] that temperature at each point of the
   stencil. NaN: not defined (a law changes its form, or a loop without resistance). */
double sl__adjoint_effect(const sl__adjoint *a, sl_part part, const sl__stencil *stencil,
                          const double *const *values, const double *celsius);

/* The derivative by a resistance in series with branch k, V or A per ohm. */
double sl__adjoint_series(const sl__adjoint *a, int32_t k);

#endif
