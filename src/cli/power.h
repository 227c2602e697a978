/* The clinic line as it was typed. */
#ifndef IOL_CLI_POWER_H
#define IOL_CLI_POWER_H

#include "case/typed.h"
#include "cli.h"

typedef struct {
    const char *eye; /* right or left, however it was typed; NULL: not typed */
    double implanted_d, target_d, vertex_mm, length_mm, chamber_mm, a_constant, new_a_constant, days, age, readings,
        pressure_mmhg;
    double haigis[3]; /* NaN: not typed */
    iol_spherocylinder refraction;
    iol_typed_k k;
    const char *refracted_by, *length_by; /* words of --method; NULL: not typed */
} iol_power_typed;

/* Flags, and what stands in their place: EYE POWER REFRACTION TARGET. Told on standard error what is wrong. */
int iol_power_read(const iol_options *options, iol_power_typed *typed);

#endif
