#!/bin/bash
# macOS (and Linux): double-click to build the handbook and open it. Does what the README's first command does.
cd "$(dirname "$0")/.." || exit 1

finish() {
  echo
  printf 'Press Return to close this window. '
  read -r _
  exit "$1"
}

if [ ! -f hooks/start.py ]; then
  echo "The rest of the handbook is not beside this file. Unpack the whole zip file, and"
  echo "double-click this file in the unpacked folder."
  finish 1
fi

python=""
for name in python3.14 python3.13 python3.12 python3.11 python3; do
  # macOS has a python3 that is none: started, it offers to install developer tools
  if [ "$(uname 2>/dev/null)" = Darwin ] && [ "$(command -v "$name")" = /usr/bin/python3 ] &&
    ! xcode-select -p >/dev/null 2>&1; then
    continue
  fi
  if command -v "$name" >/dev/null 2>&1 &&
    "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; then
    python="$name"
    break
  fi
done

if [ -z "$python" ]; then
  echo "The handbook needs Python 3.11 or newer, and this computer has none."
  echo "Get it from https://www.python.org/downloads/ (the large button), install it,"
  echo "and double-click this file again."
  finish 1
fi

echo "Building the handbook. The first time takes a few minutes and needs the internet;"
echo "later it is quicker. The page opens by itself when all is done."
echo
if "$python" hooks/start.py open; then
  finish 0
fi
echo
echo "The handbook was not built. What you had before is as it was."
echo "The lines above say which file and line to look at, and what would be right."
finish 1
