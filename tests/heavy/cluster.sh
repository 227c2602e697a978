#!/bin/sh
# The recipes for many machines (docs/recheck.md, examples/recheck-array.sh), run for real: a Slurm of one machine on loopback with
# keys and state of its own, and GNU parallel over two "hosts". A refused case does not stop the merge; a killed task, a missing
# part, a stale part and a part of another run do, by name. Skipped by name where slurm-wlm, munge or GNU parallel are not installed.
top=$(pwd)
build=$top/${BUILD:-build}
work=$(mktemp -d)
pids=
cleanup() {
    for p in $pids; do kill "$p" 2>/dev/null; done
    wait 2>/dev/null
    rm -rf "$work"
}
trap cleanup EXIT
failed=0
fail() { echo "FAILED cluster: $1"; failed=1; }
skip() { echo "SKIP $1: $2"; }
mkdir "$work/bin" "$work/cases"
chmod 755 "$work"
cp "$build/iolrevise" "$work/bin/iolrevise.real"
# A task whose part is named in $work/slow waits, so that it can be killed.
cat >"$work/bin/iolrevise" <<END
#!/bin/sh
for word; do
    case \$word in *.jsonl) [ "\$(basename "\$word")" != "\$(cat "$work/slow" 2>/dev/null)" ] || sleep 60 ;; esac
done
exec "$work/bin/iolrevise.real" "\$@"
END
chmod 755 "$work/bin/iolrevise"
PATH=$work/bin:$PATH
export PATH
cd "$work/cases" || exit 1
"$build/tests/tools/generate_past_cases" 1200 21 >all.jsonl
printf '%s\n' '{"case_format":1,"case_ref":"BAD-1","eye":"both"}' | sed -i '600r /dev/stdin' all.jsonl
iolrevise recheck all.jsonl --format json >one.json 2>/dev/null
cp "$top/examples/recheck-array.sh" "$top/examples/recheck-merge.sh" .
fresh() { # a fresh folder of a run
    run=$1
    rm -rf "$run"
    mkdir "$run"
    split -n l/4 -d -a 3 --additional-suffix=.jsonl all.jsonl "$run/part."
}

# ---- Slurm ----
start_slurm() {
    host=$(hostname -s)
    dd if=/dev/urandom of="$work/munge.key" bs=64 count=1 2>/dev/null
    chmod 400 "$work/munge.key"
    mkdir -m 755 "$work/munge" "$work/state" "$work/spool"
    id munge >/dev/null 2>&1 && [ "$(id -u)" = 0 ] || return 1
    chown -R munge "$work/munge" "$work/munge.key"
    mv "$work/munge.key" "$work/munge/key"
    setpriv --reuid munge --regid munge --clear-groups "$(command -v munged || echo /usr/sbin/munged)" --foreground \
        --key-file "$work/munge/key" --socket "$work/munge/socket" --pid-file "$work/munge/pid" --log-file "$work/munge/log" \
        --seed-file "$work/munge/seed" >"$work/munged.log" 2>&1 &
    pids="$pids $!"
    cat >"$work/slurm.conf" <<END
ClusterName=recipes
SlurmctldHost=$host(127.0.0.1)
SlurmUser=root
SlurmctldPort=26817
SlurmdPort=26818
AuthType=auth/munge
AuthInfo=socket=$work/munge/socket
CryptoType=crypto/munge
StateSaveLocation=$work/state
SlurmdSpoolDir=$work/spool
SlurmctldPidFile=$work/slurmctld.pid
SlurmdPidFile=$work/slurmd.pid
SlurmctldLogFile=$work/slurmctld.log
SlurmdLogFile=$work/slurmd.log
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
SwitchType=switch/none
MpiDefault=none
JobAcctGatherType=jobacct_gather/none
AccountingStorageType=accounting_storage/none
SelectType=select/cons_tres
SelectTypeParameters=CR_Core
SchedulerParameters=sched_interval=1,batch_sched_delay=0
KillWait=2
MinJobAge=300
ReturnToService=2
NodeName=$host NodeAddr=127.0.0.1 CPUs=$(nproc) State=UNKNOWN
PartitionName=all Nodes=ALL Default=YES MaxTime=INFINITE State=UP
END
    SLURM_CONF=$work/slurm.conf
    export SLURM_CONF
    for i in $(seq 50); do [ -S "$work/munge/socket" ] && break; sleep 0.1; done
    slurmctld -D -c >"$work/ctld.out" 2>&1 &
    pids="$pids $!"
    sleep 1
    slurmd -D -c >"$work/d.out" 2>&1 &
    pids="$pids $!"
    for i in $(seq 60); do
        sinfo -h -o %t 2>/dev/null | grep -q idle && return 0
        sleep 0.5
    done
    tail -5 "$work/slurmctld.log" "$work/slurmd.log" "$work/munged.log"
    return 1
}
ended() { # job: wait until nothing of it is left in the queue
    for i in $(seq 240); do
        [ -n "$(squeue -h -j "$1" -t PENDING,RUNNING,COMPLETING 2>/dev/null)" ] || return 0
        sleep 0.25
    done
    fail "job $1 does not end"
    return 1
}
exit_of() { scontrol show job "$1" 2>/dev/null | sed -n 's/.*ExitCode=\([0-9]*\):.*/\1/p' | head -1; }
submit() { # folder, tasks: array and merge, as the page has them
    rm -f recheck*.log
    array=$(sbatch --parsable --array="$2" recheck-array.sh "$1") || { fail "sbatch of the array"; return 1; }
    merge=$(sbatch --parsable --dependency=afterany:"$array" recheck-merge.sh "$1" 4) || { fail "sbatch of the merge"; return 1; }
}
finish() { ended "$array" && ended "$merge"; code=$(exit_of "$merge"); }

if command -v sbatch >/dev/null && command -v slurmctld >/dev/null && { command -v munged || [ -x /usr/sbin/munged ]; } >/dev/null; then
    if start_slurm; then
        fresh run.1
        submit run.1 0-3 && finish
        [ "$code" = 0 ] && cmp -s one.json run.1/summary.json || { cat recheck*.log; fail "the merge of an array: exit $code"; }
        grep -q 'BAD-1\|not-a-word' recheck.*.log || fail "the refused case is not told"
        [ "$(cat run.1/part.*.csv | grep -c ',refused,')" = 1 ] || fail "the refused case has no row"
        # a task that is killed: no part of it, old or new; the merge says so and leaves no summary
        fresh run.2
        echo part.002.jsonl >"$work/slow"
        submit run.2 0-3
        for i in $(seq 120); do
            [ -n "$(squeue -h -j "${array}_2" -t RUNNING 2>/dev/null)" ] && break
            sleep 0.25
        done
        scancel --signal=KILL --full "${array}_2"
        rm "$work/slow"
        finish
        [ "$code" != 0 ] && [ ! -e run.2/summary.json ] && [ ! -e run.2/part.002.counts ] || fail "a killed task is merged: exit $code"
        grep -q 'found 3 parts, wanted 4' recheck-merge.log || { cat recheck*.log; fail "a missing part is not told"; }
        # that task alone, again
        submit run.2 2 && finish
        [ "$code" = 0 ] && cmp -s one.json run.2/summary.json || { cat recheck*.log; fail "the killed task again"; }
        # a part of an earlier run in place of a new one; cases that changed since
        fresh run.3
        submit run.3 0-3 && finish
        sed -i '1s/"age_years":[0-9]/"age_years":8/' run.3/part.001.jsonl
        rm run.3/summary.json
        merge=$(sbatch --parsable recheck-merge.sh run.3 4) && ended "$merge"
        [ "$(exit_of "$merge")" = 1 ] && [ ! -e run.3/summary.json ] && grep -q 'part.001.counts: old' recheck-merge.log ||
            { cat recheck-merge.log; fail "a stale part"; }
        fresh run.3
        submit run.3 0-3 && finish
        cp run.3/part.000.counts run.3/part.003.counts
        merge=$(sbatch --parsable recheck-merge.sh run.3 4) && ended "$merge"
        [ "$(exit_of "$merge")" = 1 ] && grep -q 'another part holds too' recheck-merge.log || fail "a part twice"
        echo "passed slurm"
    else
        fail "a Slurm of one machine does not start"
    fi
else
    skip cluster-slurm "no slurm-wlm and munge"
fi

# ---- GNU parallel over two hosts: what stands for ssh runs the command here and notes the host ----
if command -v parallel >/dev/null && parallel --version 2>/dev/null | grep -q GNU; then
    cat >"$work/bin/there" <<END
#!/bin/sh
while [ "\${1#-}" != "\$1" ]; do shift; done
echo "\$1" >>"$work/hosts"
shift
[ "\$1" != -- ] || shift
exec sh -c "\$*"
END
    chmod 755 "$work/bin/there"
    fresh run.4
    PARALLEL_SSH=$work/bin/there HOME=$work parallel --will-cite -S 1/one,1/two --workdir "$PWD" \
        "$work/bin/iolrevise" recheck {} --output {.}.csv --partial {.}.counts ::: run.4/part.*.jsonl 2>"$work/err"
    iolrevise recheck --merge --parts 4 --format json run.4/part.*.counts 2>>"$work/err" | cmp -s - one.json ||
        { cat "$work/err"; fail "parts by GNU parallel"; }
    [ "$(sort -u "$work/hosts" 2>/dev/null | grep -cE '^(one|two)$')" = 2 ] || fail "two hosts: $(sort "$work/hosts" | uniq -c)"
    echo "passed parallel"
else
    skip cluster-parallel "no GNU parallel"
fi
[ "$failed" = 0 ] && echo "passed cluster"
exit "$failed"
