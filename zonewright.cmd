@echo off
rem The twin of ./zonewright for Windows. What it takes is in tools\ready.py.
setlocal
set "python=py -3"
if exist "%~dp0.venv\.ready" set python="%~dp0.venv\Scripts\python.exe"
%python% "%~dp0tools\ready.py" run %*
exit /b %errorlevel%
