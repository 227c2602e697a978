#!/bin/sh
#SBATCH --job-name=recheck-merge
#SBATCH --output=%x.log
# One summary of all parts, once every task has ended, however it ended: a part that is missing, cut or old is refused by name.
# Called with the folder of the run and the number of parts.
iolrevise recheck --merge --parts "$2" --output "$1/summary.json" "$1"/part.*.counts
