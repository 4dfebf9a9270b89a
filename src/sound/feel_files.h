/* The feels that come with gripline: X(name of its symbol, file). Read by feel_book.c and feel_files.S, so nothing
 * but preprocessor lines may stand here. In the order in which they are listed to people. */
#define GLN_FEEL_FILE_LIST(X)                                                                                          \
  X(gln_feel_bossa, "../../data/feels/bossa.feel")                                                                     \
  X(gln_feel_swing, "../../data/feels/swing.feel")                                                                     \
  X(gln_feel_waltz, "../../data/feels/waltz.feel")                                                                     \
  X(gln_feel_straight_4_4, "../../data/feels/straight-4-4.feel")                                                       \
  X(gln_feel_straight_3_4, "../../data/feels/straight-3-4.feel")                                                       \
  X(gln_feel_straight_2_4, "../../data/feels/straight-2-4.feel")                                                       \
  X(gln_feel_straight_5_4, "../../data/feels/straight-5-4.feel")                                                       \
  X(gln_feel_straight_6_8, "../../data/feels/straight-6-8.feel")                                                       \
  X(gln_feel_straight_12_8, "../../data/feels/straight-12-8.feel")
