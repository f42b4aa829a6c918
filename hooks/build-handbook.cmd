@echo off
rem Windows: double-click to build the handbook and open it. Does what the README's first command does.
setlocal
chcp 65001 >nul 2>nul

rem pushd, since cd cannot go to a folder of a network. Double-clicked inside a zip file, this file stands alone.
pushd "%~dp0.."
if not exist "hooks\start.py" (
  echo The rest of the handbook is not beside this file. If you opened it inside a zip file,
  echo unpack that first: right-click the zip file, choose Extract All, and double-click
  echo this file in the unpacked folder.
  echo.
  pause
  exit /b 1
)

set "PY="
for %%V in (3 3.14 3.13 3.12 3.11) do (
  if not defined PY (
    py -%%V -c "import sys; sys.exit(sys.version_info < (3, 11))" >nul 2>nul
    if not errorlevel 1 set "PY=py -%%V"
  )
)
if not defined PY (
  python -c "import sys; sys.exit(sys.version_info < (3, 11))" >nul 2>nul
  if not errorlevel 1 set "PY=python"
)
if not defined PY (
  echo The handbook needs Python 3.11 or newer, and this computer has none.
  echo Get it from https://www.python.org/downloads/ ^(the large button^), install it,
  echo and double-click this file again.
  echo.
  pause
  exit /b 1
)

echo Building the handbook. The first time takes a few minutes and needs the internet;
echo later it is quicker. The page opens by itself when all is done.
echo.
%PY% hooks\start.py open
if %errorlevel% neq 0 (
  echo.
  echo The handbook was not built. What you had before is as it was.
  echo The lines above say which file and line to look at, and what would be right.
  echo.
  pause
  exit /b 1
)
echo.
pause
