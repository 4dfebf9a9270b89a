/* Under the sanitizers everything is several times slower: seeded cases are fewer there. The optimised build runs all. */
#ifndef GRIPLINE_TESTS_SLOW_BUILD_H
#define GRIPLINE_TESTS_SLOW_BUILD_H

#if defined(__SANITIZE_ADDRESS__)
#define SLOW_BUILD 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define SLOW_BUILD 1
#endif
#endif
#ifndef SLOW_BUILD
#define SLOW_BUILD 0
#endif

/* Of n seeded cases, how many this build runs: all, or a tenth. */
#define SEEDED(n) (SLOW_BUILD ? (n) / 10 : (n))

#endif
