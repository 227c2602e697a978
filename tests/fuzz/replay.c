/* Runs a fuzzer's function over files, for builds without a fuzzer. */
#include "fuzz.h"

int main(int argc, char **argv) {
    static uint8_t bytes[(1 << 20) + 2];
    for (int i = 1; i < argc; i++) {
        FILE *file = fopen(argv[i], "rb");
        if (!file) {
            perror(argv[i]);
            return 1;
        }
        size_t size = fread(bytes, 1, sizeof bytes, file);
        fclose(file);
        uint8_t *copy = malloc(size ? size : 1); /* so that a sanitizer sees every byte read too far */
        fuzz_must(copy != NULL, "out of memory");
        memcpy(copy, bytes, size);
        LLVMFuzzerTestOneInput(copy, size);
        free(copy);
    }
    printf("replayed %d files\n", argc - 1);
    return argc > 1 ? 0 : 1;
}
