"""The one line that answers a reading: where it was written, and what it means."""

from __future__ import annotations

from buildcheck.app.recording import Recorded
from buildcheck.build.new_motion import NewMotion, number_of_readings
from buildcheck.build.new_reading import NewClearance, NewTrial, VoidTrial, number_of_trials
from buildcheck.cli.typed_reading import Reading
from buildcheck.core.escape import at_line_start, one_line
from buildcheck.core.problem import Place
from buildcheck.output.record_wording import changed_line, clearance_answer, motion_answer, trial_answer


def entered_line(recorded: Recorded, reading: Reading, file: str) -> str:
    """Place, valve and answer of a reading that was written into a file of the build."""
    checked, subject, changed = recorded.checked, reading.subject, recorded.files[0]
    match reading:
        case NewClearance(_, name, length):
            what = f"{subject.text}, {name} {length}: {clearance_answer(checked, subject, name)}"
        case VoidTrial(_, number, _):
            what = f"{subject.text}, trial {number} is void. The other trials: {trial_answer(checked, subject)}"
        case NewMotion(_, _, values):
            read = ", ".join(f"{key} {text}" for key, text in values.items() if key != "note")
            what = (
                f"{subject.text}, {read}: {motion_answer(checked, reading, number_of_readings(changed.after, reading))}"
            )
        case NewTrial():
            number = number_of_trials(changed.after, subject)
            answer = trial_answer(checked, subject, "mark" in reading.values)
            what = f"{subject.text}, trial {number}: {answer}"
    place = Place(file, changed_line(changed)).rebased_on(checked.build.display_path)
    return f"{at_line_start(f'{place.file}:{place.line}')}: {one_line(what)}"
