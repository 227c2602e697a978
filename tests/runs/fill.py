"""ask --fill under a pseudo-terminal (Python's pty): asked one at a time, checked as typed, ? explains, Enter leaves open,
an interruption loses no answer; never a prompt without a terminal."""
import json, os, pty, select, signal, subprocess, sys, tempfile

signal.alarm(120)  # a test that waits for ever holds up all others
program = os.path.join(os.environ.get("BUILD", "build"), "iolrevise")
work = tempfile.mkdtemp()
out = os.path.join(work, "case.json")
signal.signal(signal.SIGINT, signal.default_int_handler)  # a job in the background ignores it, and so would the program


def fail(what, said=""):
    sys.exit(f"FAILED fill: {what}\n{said[-1500:]}")


class Dialogue:
    def __init__(self, case):
        self.child, self.fd = pty.fork()
        if self.child == 0:
            signal.signal(signal.SIGINT, signal.SIG_DFL)  # a test in the background ignores it, and so would the program
            os.execv(program, [program, "ask", case, "--fill", "--output", out])
        self.said = ""
        self.until("> ")

    def until(self, mark):
        start = len(self.said)
        while mark not in self.said[start:]:
            ready, _, _ = select.select([self.fd], [], [], 20)
            if not ready:
                fail(f"waiting for {mark!r}", self.said)
            try:
                piece = os.read(self.fd, 4096)
            except OSError:
                piece = b""
            if not piece:
                return False
            self.said += piece.decode()
        return True

    def type(self, text):
        os.write(self.fd, (text + "\n").encode())
        return self.until("> ")


# Answers checked as typed.
d = Dialogue("examples/minimal.json")
if "all absent?" not in d.said:
    fail("the first question is not about alarms", d.said)
d.type("?")
if "Enter leaves it open" not in d.said or "/red_flags/none" not in d.said:
    fail("? does not explain", d.said)
questions = json.loads(subprocess.run([program, "ask", "examples/minimal.json", "--format", "json"], capture_output=True, text=True).stdout)["questions"]
for a in questions[0]["answers"]:  # what each answer would lead to
    if f"  {a['answer']}: {a['state'] or 'no decision'}, power {a['standing'] or 'none'}" not in d.said.replace("\r", ""):
        fail(f"? does not tell {a}", d.said)
schema = json.loads(subprocess.run([program, "schema", "case"], capture_output=True, text=True).stdout)
part, key = questions[0]["path"].strip("/").split("/")
if schema["$defs"][part]["properties"][key]["description"] + "\n> " not in d.said.replace("\r", ""):  # the field, and what it may be
    fail("the prompt does not say what is wanted", d.said)
if questions[0]["question"] not in " ".join(d.said.split()):
    fail("another question than the first", d.said)
d.type("perhaps")
if "wanted yes or no" not in d.said:
    fail("a wrong answer is not told", d.said)
d.type("  yes \t")  # the blanks round an answer are none of it
if json.load(open(out))["red_flags"] != {"none": True}:
    fail("the answer is not in the file")
asked = d.said.count("\n> ")
d.type("")
if d.said.count("\n> ") <= asked:
    fail("nothing was asked behind an open question", d.said)
# Interrupted: what was answered is there, and no temporary file.
os.write(d.fd, b"\x03")
os.waitpid(d.child, 0)
if json.load(open(out))["red_flags"] != {"none": True} or os.listdir(work) != ["case.json"]:
    fail("an interruption lost something")
if subprocess.run([program, "check", out], capture_output=True).returncode != 0:
    fail("the file is not a case")
# Every other value of the case is as it was.
first, last = json.load(open("examples/minimal.json")), json.load(open(out))
def bare(x):
    if isinstance(x, dict):
        return {k: bare(v) for k, v in x.items() if not k.startswith("//") and bare(v) not in (None, {}, [])}
    return [bare(v) for v in x] if isinstance(x, list) else x
del last["red_flags"]
kept = bare(first)
kept.pop("red_flags", None)
if kept != last:
    fail(f"a value changed: {kept} {last}")
# No terminal: no prompt.
run = subprocess.run([program, "ask", "examples/minimal.json", "--fill", "--output", out], input="yes\n", capture_output=True, text=True)
if run.returncode != 2 or ">" in run.stdout:
    fail("it prompts without a terminal", run.stdout)
print("passed fill")
