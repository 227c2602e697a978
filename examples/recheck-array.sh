#!/bin/sh
#SBATCH --job-name=recheck
#SBATCH --output=%x.%a.log
# One part of the cases a task: rows, and counts for the merge. Called with the folder of the run; see docs/recheck.md.
part=$(printf '%s/part.%03d' "$1" "$SLURM_ARRAY_TASK_ID")
site=${2:+--site $2}
iolrevise recheck "$part.jsonl" $site --output "$part.csv" --partial "$part.counts"
status=$?
# A refused case keeps its row and its place in the counts: the task has done its work.
[ "$status" = 1 ] && status=0
exit "$status"
