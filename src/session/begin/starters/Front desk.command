#!/bin/sh
# A double click on this file opens the front desk of the program in this folder.
cd "$(dirname "$0")" || exit 1
for packstring in "$(command -v packstring)" "$HOME/packstring/packstring" "$HOME/Downloads/packstring/packstring"; do
  if [ -x "$packstring" ]; then
    exec "$packstring" front-desk --program .
  fi
done
echo "packstring was not found on this computer."
echo "Put its folder into your home folder, so that there is $HOME/packstring/packstring, and double-click again."
printf "Press Enter to close this window. "
read -r _
