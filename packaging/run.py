"""Sets Printcrib up where needed and starts it: python3 packaging/run.py [ARGUMENTS OF PRINTCRIB].

Works with nothing but Python 3.11, 3.12 or 3.13 on Linux, Windows and macOS. Without arguments the window
opens.
"""

import os
import subprocess
import sys

import supported_python

supported_python.check()

import bootstrap  # noqa: E402  (older Pythons stop above with a sentence)


def main(arguments: list[str]) -> int:
    """Start Printcrib with these arguments in the caller's own folder and answer its exit code."""
    python = bootstrap.prepare("runtime")
    env = bootstrap.environment()
    if not arguments and env.get("QT_QPA_PLATFORM") == "offscreen":
        sys.stderr.write("There is no display here, so the window opens unseen; Ctrl+C ends it.\n")
    # -P: a file in the caller's folder never stands in for a library.
    command = [str(python), "-P", "-m", "printcrib", *arguments]
    if not bootstrap.WINDOWS:
        sys.stderr.flush()
        os.execve(command[0], command, env)
    return subprocess.call(command, env=env)


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit(130)
