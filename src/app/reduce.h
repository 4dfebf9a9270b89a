/* reduce, inside: what the command's files share. */
#ifndef GLN_APP_REDUCE_H
#define GLN_APP_REDUCE_H

#include "app_internal.h"

double gln_reduce_percent_above(double total, double least); /* 0 when least is 0 */
GLN_MUST_USE GlnStatus gln_reduce_run_curve(GlnJob *job);

#endif
