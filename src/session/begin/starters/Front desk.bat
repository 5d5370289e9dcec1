@echo off
rem A double click on this file opens the front desk of the program in this folder.
cd /d "%~dp0"
where packstring >nul 2>nul
if not errorlevel 1 (
  packstring front-desk --program .
  if errorlevel 1 pause
  exit /b
)
for %%p in ("%USERPROFILE%\packstring\packstring.exe" "%USERPROFILE%\Downloads\packstring\packstring.exe") do (
  if exist %%p (
    %%p front-desk --program .
    if errorlevel 1 pause
    exit /b
  )
)
echo packstring was not found on this computer.
echo Put its folder into %USERPROFILE%, so that there is packstring\packstring.exe, and double-click again.
pause
