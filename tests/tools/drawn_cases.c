/* Drawn cases as JSON Lines, for a program that plans them another way: drawn_cases COUNT [FIRST [SITE]]. Same seed, same line. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "random_case.h"

int main(int argc, char **argv) {
    static iol_site site;
    static iol_case c;
    static char text[RANDOM_CASE_TEXT];
    int count = argc > 1 ? atoi(argv[1]) : 30, first = argc > 2 ? atoi(argv[2]) : 1;
    if (argc > 3 ? !read_site_file(argv[3], &site) : (iol_site_generic(&site), false)) return 2;
    for (int seed = first; seed < first + count; seed++) {
        if (!random_case((uint64_t)seed, &site, &c)) return 2;
        size_t length = case_text(&c, 0, text);
        for (size_t i = 0; i < length; i++)
            if (text[i] == '\n') text[i] = ' ';
        fwrite(text, 1, length, stdout);
        putchar('\n');
    }
    return ferror(stdout) ? 4 : 0;
}
