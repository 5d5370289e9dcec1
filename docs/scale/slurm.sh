#!/bin/sh
# Makes the private shelf of a program as a Slurm array:  sh slurm.sh PROGRAM PARTS COUNT
# PROGRAM is the program folder and PARTS a folder that all nodes can write to; COUNT is how many parts.
set -eu
program=$1
parts=$2
count=$3

# Once, and here, where the signing key is. Findings (1) are reported and do not stop the rest.
packstring make --program "$program" --credit-only || [ $? -eq 1 ]
mkdir -p "$parts"

array=$(sbatch --parsable --job-name=packstring-part --array="1-$count" --cpus-per-task=2 --mem=2G --time=04:00:00 \
  --requeue --output="$parts/part-%a.log" \
  --export=ALL,PROGRAM="$program",PARTS="$parts",COUNT="$count" <<'PART'
#!/bin/sh
set -eu
packstring make --program "$PROGRAM" --part "$SLURM_ARRAY_TASK_ID/$COUNT" --into "$PARTS/$SLURM_ARRAY_TASK_ID" || [ $? -eq 1 ]
PART
)

sbatch --job-name=packstring-gather --dependency="afterok:$array" --cpus-per-task=2 --mem=2G --time=04:00:00 \
  --output="$parts/gather.log" --export=ALL,PROGRAM="$program",PARTS="$parts" <<'GATHER'
#!/bin/sh
set -eu
packstring make --program "$PROGRAM" --gather "$PARTS"/*/
packstring make --program "$PROGRAM" || [ $? -eq 1 ]
GATHER
