/* Inside the harmony room: the table of stand-ins. */
#ifndef GLN_STANDIN_RULES_H
#define GLN_STANDIN_RULES_H

#include "harmony_internal.h"

/* What the new root, or bass, is counted from. */
typedef enum GlnStandinBase {
  GLN_FROM_NOTHING, /* no slash bass */
  GLN_FROM_OLD,
  GLN_FROM_TONIC,
  GLN_FROM_NEXT
} GlnStandinBase;

typedef struct GlnStandinRule {
  GlnStandinKind kind;
  GlnStandinWhere where;
  uint16_t classes;      /* of the old chord, GLN_CLASS_BIT */
  uint16_t functions;    /* bits of GlnFunction; 0: any */
  uint16_t degrees;      /* bits: old root above the tonic; 0: any */
  uint16_t modes;        /* bit 0 major key, bit 1 minor */
  uint16_t next_up;      /* bits: next root above the old one; 0: no next chord is needed */
  uint16_t next_classes; /* 0: any */
  GlnStandinBase root;
  GlnDegree above; /* the new root above it, spelled by letter */
  GlnStandinBase bass;
  GlnDegree bass_above;
  uint32_t claims;
  /* The quality as a chart writes it; "@": that of the key's own chord there; "=": the old chord's; "~": the
   * next chord's. */
  const char *suffix;
  /* {old} {new} {next} {common} {guides} {added} {bass} {root} {key} are filled in. */
  const char *reason;
} GlnStandinRule;

extern const GlnStandinRule gln_standin_rules[];
extern const size_t gln_standin_rule_count;

#endif
