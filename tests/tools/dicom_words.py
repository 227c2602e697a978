"""dicom_words.py: the rows of tests/reference/dicom_map.tsv, their tags and codes told in the words of the standard as python3-pydicom has
them: keywords of PS3.6, code meanings of PS3.16, classes of PS3.4. Prints each row whose words differ."""
import sys

from pydicom.datadict import dictionary_keyword
from pydicom.sr._concepts_dict import concepts
from pydicom.uid import UID

MEANING = {}
for scheme in ("DCM", "SCT"):
    for entries in concepts[scheme].values():
        for value, entry in entries.items():
            MEANING[value] = entry[0]


def words(class_number, path, code, second, other, value):
    told = [UID("1.2.840.10008.5.1.4.1.1.78." + class_number).name.removeprefix("Ophthalmic ").removesuffix(" Storage")] if class_number else []
    for tags, codes in ((path, code), (second, other), (value, "")):
        if tags:
            told.append(" > ".join(dictionary_keyword(int(tag, 16)) for tag in tags.split("/")))
        if codes:
            told.append(MEANING[codes])
    return "; ".join(told)


if __name__ == "__main__":
    wrong = 0
    for line in open(sys.argv[1]):
        if line.startswith(("#", "kind\t", "index\t")):
            continue
        kind, *row, key, taken, told = line.rstrip("\n").split("\t")
        if words(*row) != told:
            wrong += 1
            print("\t".join(row), "means", words(*row), sep="\t")
    sys.exit(wrong > 0)
