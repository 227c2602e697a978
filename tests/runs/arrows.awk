# Arrows between the folders of src, from `nm -A`: each folder may use those before it in `order`, and itself. Give the output of
# nm twice. -v order="text tables ...".
function folder(file) { sub(/.*\/src\//, "", file); sub(/\/.*/, "", file); return file }
BEGIN { n = split(order, names, " "); for (i = 1; i <= n; i++) rank[names[i]] = i }
{
    split($1, at, ":")
    mine = folder(at[1])
    kind = $(NF - 1)
    if (FNR == NR) {
        if (kind ~ /^[TDRB]$/) home[$NF] = mine
        if (!(mine in rank) && !told[mine]++) print "the folder " mine " has no place in the order"
    } else if (kind == "U" && ($NF in home) && rank[home[$NF]] > rank[mine])
        print at[1] " uses " $NF " of " home[$NF] ", which stands above " mine
}
