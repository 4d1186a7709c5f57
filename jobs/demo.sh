#!/bin/sh
# Renders the demo jobs into output/. Installs what is missing first.
set -eu
cd "$(dirname "$0")/.."
. .ci/install.sh
for job in lighthouse:2027-03-01 gorge:2027-05-20 dam:2027-06-05 dam_b:2027-06-05 oak:2027-03-14 \
    wasserturm:2027-04-09; do
    # Each demo is assessed as of a day of its own; the gorge after its last, so that it has expired.
    status=0
    riskdoc render "jobs/${job%%:*}.yaml" --on "${job##*:}" --out output || status=$?
    # 1 means the job has findings against it, which the demos do on purpose.
    [ "$status" -le 1 ] || exit "$status"
done
echo "The reports are in output/: open them with any PDF viewer or browser."
