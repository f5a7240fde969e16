/* lib/solve/lot_kernel.h: the kernels of lot_kernels.h, for each width of vector (each_width.h). */
#define VEC LANES_NAME(vec)
#define BITS LANES_NAME(bits)
typedef double VEC __attribute__((vector_size(LANES_WIDE * 8), aligned(8), may_alias));
typedef int64_t BITS __attribute__((vector_size(LANES_WIDE * 8), aligned(8), may_alias));

/* Vector h of the lanes of entry k. */
#define AT(array, k) (((VEC *)(void *)((array) + (ptrdiff_t)(k)*SL__LANES))[h])
#define AT_CONST(array, k) (((const VEC *)(const void *)((array) + (ptrdiff_t)(k)*SL__LANES))[h])
#define LANE_BITS(mask) (((const BITS *)(const void *)(mask)->lane)[h])
#define CHOOSE(which, a, b) ((VEC)(((BITS)(a) & (which)) | ((BITS)(b) & ~(which))))
#define EACH for (int h = 0; h < SL__LANES / LANES_WIDE; h++)

LANES_TARGET static inline void LANES_NAME(put)(const sl__lot_net *net, int32_t k, VEC amps, int h)
{
    AT(net->y, net->from[k]) -= amps;
    AT(net->y, net->to[k]) += amps;
}

LANES_TARGET static void LANES_NAME(start)(int32_t count, const sl__lot_start *from,
                                           const double *z, double *to)
{
    for (int32_t n = 0; n < count; n++) {
        EACH
        {
            const VEC at = AT_CONST(z, from[n].z), none = {0};
            AT(to, 0) += at * CHOOSE(at < none, none + from[n].below, none + from[n].above);
        }
    }
}

LANES_TARGET static void LANES_NAME(drive)(const sl__lot_net *net)
{
    const VEC zero = {0};
    for (int32_t n = 0; n < net->used; n++) {
        EACH AT(net->y, net->use[n]) = zero;
    }
    for (int32_t n = 0; n < net->driven; n++) {
        const int32_t k = net->drive[n];
        EACH LANES_NAME(put)(
            net, k, AT_CONST(net->g, k) * (AT_CONST(net->offset, k) - AT_CONST(net->open_v, k)), h);
    }
    for (int32_t n = 0; n < net->fixed; n++) {
        const int32_t k = net->fix[n];
        EACH LANES_NAME(put)(net, k, AT_CONST(net->amp, k), h);
    }
    for (int32_t c = 0; c < net->curves; c++) {
        const int32_t k = net->curve[c], s = net->slot[c];
        EACH LANES_NAME(put)(
            net, k, AT(net->i, s) + AT(net->slope, s) * (AT_CONST(net->offset, k) - AT(net->v, s)),
            h);
    }
}

LANES_TARGET static void LANES_NAME(aim)(const sl__lot_net *net, double *size)
{
    const VEC zero = {0};
    const BITS positive = (BITS){0} + INT64_MAX;
    EACH AT(size, 0) = zero;
    for (int32_t c = 0; c < net->curves; c++) {
        const int32_t k = net->curve[c], s = net->slot[c];
        EACH
        {
            const VEC now =
                AT(net->y, net->from[k]) - AT(net->y, net->to[k]) + AT_CONST(net->offset, k);
            const VEC step = (VEC)((BITS)(now - AT(net->v, s)) & positive);
            const VEC share = step / (1.0 + (VEC)((BITS)now & positive));
            AT(net->aim, s) = now;
            /* NaN is the greatest of all, and stays it */
            AT(size, 0) = CHOOSE(share <= AT(size, 0), AT(size, 0), share);
        }
    }
}

LANES_TARGET static void LANES_NAME(go)(const sl__lot_net *net, const sl__lot_mask *lanes,
                                        const double *share)
{
    for (int32_t c = 0; c < net->curves; c++) {
        const int32_t s = net->slot[c];
        EACH
        {
            const VEC v = AT(net->v, s), i = AT(net->i, s), part = AT_CONST(share, 0);
            const VEC step = AT(net->aim, s) - v, to = v + part * step;
            const BITS all = part == 1.0;
            const VEC amps = i + AT(net->slope, s) * step, port = AT(net->port, s);
            AT(net->i, s) = CHOOSE(LANE_BITS(lanes), amps, i);
            AT(net->port, s) =
                CHOOSE(LANE_BITS(lanes), CHOOSE(all, amps, port + part * (amps - port)), port);
            AT(net->v, s) = CHOOSE(LANE_BITS(lanes), CHOOSE(all, AT(net->aim, s), to), v);
        }
    }
}

LANES_TARGET static void LANES_NAME(keep)(const sl__lot_net *net, const sl__lot_mask *lanes)
{
    for (int32_t n = 0; n < net->needs; n++) {
        const int32_t row = net->need[n];
        EACH AT(net->out, row) = CHOOSE(LANE_BITS(lanes), AT(net->y, row), AT(net->out, row));
    }
}

LANES_TARGET static void LANES_NAME(flows)(const sl__lot_net *net, int32_t count,
                                           const sl__lot_flow *flow, double *volts, double *amps)
{
    for (int32_t n = 0; n < count; n++) {
        const int32_t k = flow[n].branch, slot = flow[n].slot;
        EACH
        {
            const VEC rows = AT(net->out, net->from[k]) - AT(net->out, net->to[k]);
            const VEC offset = AT_CONST(net->offset, k);
            AT(volts, n) = rows + offset;
            VEC i = {0};
            switch (flow[n].by) {
            case SL__LOT_STRAIGHT:
                i = AT_CONST(net->g, k) * (rows + (offset - AT_CONST(net->open_v, k)));
                break;
            case SL__LOT_CURVED:
                i = AT(net->i, slot);
                break;
            case SL__LOT_FIXED:
                i = AT_CONST(net->amp, k);
                break;
            case SL__LOT_NO_FLOW:
                break;
            }
            AT(amps, n) = i;
        }
    }
}

static const sl__lot_kernels LANES_NAME(lot_kernels) = {LANES_NAME(start), LANES_NAME(drive),
                                                        LANES_NAME(aim),   LANES_NAME(go),
                                                        LANES_NAME(keep),  LANES_NAME(flows)};

#undef VEC
#undef BITS
#undef AT
#undef AT_CONST
#undef LANE_BITS
#undef CHOOSE
#undef EACH
