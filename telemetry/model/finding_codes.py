"""Every finding there is: its code, severities, what it is of, and what to do about it. Cases: ``docs/findings.md``.

Codes keep their meaning for ever: programs read them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, field
from functools import partial
from types import MappingProxyType
from typing import Literal, TypeAlias

Severity: TypeAlias = Literal["note", "warning", "error"]
Of: TypeAlias = Literal["log", "sensor", "zero", "run", "recording", "comparison", "prediction"]
"""What is found out about; a section of ``docs/findings.md`` each."""


@dataclass(frozen=True, slots=True)
class FindingSpec:
    """One code.

    Attributes
    ----------
    of : {"log", "sensor", "zero", "run", "recording", "comparison", "prediction"}
    code : str
    severity : {"note", "warning", "error"}
        The usual one.
    remedy : str
        What to do, in short; a finding's message says it of its own case.
    also : mapping of severity to str
        Other severities it has, and when.
    withholds : {"", "told", "run"}
        Whether part of its run's readings are false, so that no verdict rests on them: never, where the finding says
        so, always. Errors of a comparison withhold the candidate's.
    """

    of: Of
    code: str
    severity: Severity
    remedy: str
    _: KW_ONLY
    also: Mapping[Severity, str] = field(default_factory=lambda: MappingProxyType({}))
    withholds: Literal["", "told", "run"] = ""


_log = partial(FindingSpec, "log")
_sensor = partial(FindingSpec, "sensor")
_zero = partial(FindingSpec, "zero")
_run = partial(FindingSpec, "run")
_recording = partial(FindingSpec, "recording")
_comparison = partial(FindingSpec, "comparison")
_prediction = partial(FindingSpec, "prediction")

FINDINGS: tuple[FindingSpec, ...] = (
    _log("log_unreadable", "error", "mend what the message names, or copy it from the card again; the others are used"),
    _log("no_clock", "note", "nothing, if the stated rate is right: speeds are as good as it is"),
    _log("rounded_clock", "note", "nothing"),
    _log("clock_wrapped", "note", "nothing"),
    _log("clock_set", "note", "nothing"),
    _log("clock_jumps", "warning", "have the logger stamp every row as it is read"),
    _log("clock_stands", "warning", "where rows come evenly, state `rate_hz` to go by them alone"),
    _log("odd_rate", "error", 'state the unit: `[log] time = { column = …, unit = "ms" }`'),
    _log("clock_backwards", "error", "ride again; a logger that restarts or mixes up rows needs looking at"),
    _log("uneven_clock", "warning", "have the logger write at a fixed rate"),
    _log("rate_contradicted", "warning", "take `rate_hz` out to go by the clock, or correct it"),
    _log("gap", "warning", "check the logger's card and supply", also={"error": "when gaps exceed 20 % of the ride"}),
    _log("repeated_rows", "warning", "check how the log was copied"),
    _log("replayed_rows", "warning", "check its card, ride again", withholds="run"),
    _log("repeated_header", "note", "look whether a gap goes with it; check plug and supply"),
    _log("ragged_rows", "warning", "check the logger's card"),
    _log("missing_values", "warning", "check plug and card"),
    _log("zeros_at_end", "warning", "check battery, plug and card; what was ridden after them is lost"),
    _log("slow_rate", "warning", "log faster: how travel is spread can be trusted, speeds read low"),
    _sensor("spikes", "note", "check plug, cable and ground", also={"warning": "over 0.1 % of samples"}),
    _sensor("slow_glitches", "note", "check plug, cable and ground; log faster"),
    _sensor("one_row_alone", "warning", "look at the run there; log faster"),
    _sensor("loose_contact", "warning", "check plug, cable and ground; ride again"),
    _sensor("outside_range", "warning", "correct `counts_range`, or look at the column"),
    _sensor(
        "clipped", "warning", "move the sensor so that its range reaches past both ends of travel", withholds="told"
    ),
    _sensor("odd_ground_speed", "warning", "check its column, unit, magnet or reception"),
    _sensor(
        "odd_acceleration",
        "warning",
        "check its columns and `acceleration_unit`",
        also={"error": "where nothing else measures its end"},
    ),
    _sensor(
        "wrong_scale",
        "warning",
        "state the unit or scale the message names",
        also={"error": "where nothing else measures its end"},
    ),
    _sensor("odd_rotation", "warning", "check `rotation_unit`, signs and order of gx, gy and gz"),
    _sensor("axes_disagree", "warning", "check signs and order of the sensor's columns"),
    _sensor("over_range", "warning", "set the sensor to a larger range"),
    _sensor("cut_off", "warning", "set the sensor to a larger range; ride again", withholds="told"),
    _sensor("turned_since", "warning", "record it at rest again, upright on level ground"),
    _sensor("sits_askew", "note", "nothing"),
    _sensor("wheel_calmer", "warning", "check `on` and the columns of both"),
    _sensor("unplaced", "note", "state `ahead_of_axle_mm` and `above_axle_mm` of the sensor"),
    _sensor("inertial_frozen", "warning", "check its plug and the logger's supply; ride again", withholds="told"),
    _sensor("dead_axis", "warning", "check its `columns`, plug and wiring"),
    _sensor("dead_band", "warning", "replace it"),
    _sensor("line_noise", "warning", "keep the sensor's cable off motor, charger and mains"),
    _sensor("stuck", "error", "check the sensor's rod, bracket and plug; ride again"),
    _sensor("supply_lost", "error", "check battery, plug and cable; ride again, or state `end_s` before it"),
    _sensor("contact_lost_often", "warning", "check plug, cable and ground; ride again", withholds="run"),
    _sensor("stopped_dead", "warning", "check the sensor's rod, bracket and plug", withholds="run"),
    _sensor("hardly_moves", "warning", "lever closed, or sensor loose?"),
    _sensor("coarse_steps", "warning", "use more of the converter's range"),
    _sensor("poor_calibration", "warning", "measure the points again, or use a curve"),
    _sensor(
        "beyond_travel",
        "warning",
        "check calibration points, zero and full travel",
        also={"error": "over 1 % of samples"},
    ),
    _sensor("ends_opposed", "error", "swap its outer wires, or measure its `points` again"),
    _sensor("ends_swapped", "warning", "check `end` and `column` of both sensors", withholds="told"),
    _zero(
        "zero_shift",
        "warning",
        "fix it, lift both wheels for 5 s and record it, ride again",
        also={"error": "over 2 % of full travel", "note": "where a lifted recording takes it out"},
    ),
    _zero("zero_moves", "note", "where nobody remounted the sensor in between it slipped: fix it, ride again"),
    _zero("zero_drifts", "warning", "fix it, ride again", withholds="told"),
    _zero("ridden_otherwise", "warning", "look at the run along the trail before you trust its levels"),
    _zero("gain_shift", "warning", "look at plug, cable and supply voltage; ride again", withholds="told"),
    _zero("zero_unchecked", "warning", "lift both wheels for 5 s and record it"),
    _zero("travel_is_stated", "note", "measure it by hand: air out or coil off, pushed until the bumper stops it"),
    _zero("bottoming_untold", "note", "measure full travel by hand, record lifted"),
    _run("pushes", "note", "nothing; where one bound isn't marked, push before and after the run"),
    _run("pushes_upside_down", "warning", "check the readings of the sensors' `points`"),
    _run("pushes_one_end", "warning", "press both ends; check plug, rod, lever and `column`"),
    _run("untrimmed", "note", "press both ends three times within 3 s"),
    _run("no_position_sensor", "error", "enter the sensors under `[sensors]`"),
    _run("same_column", "warning", "check `column` of both: front against rear says nothing"),
    _run("end_beyond_log", "warning", "look at the file, correct `end_s` or copy the log again"),
    _run("short_run", "warning", "choose a longer stretch of trail: rare events and slow measures say little"),
    _run("not_riding", "error", "ride again; check the logger"),
    _run("lowers_low_pass", "warning", "leave it out (`leave_out`), or log all runs at one rate"),
    _run("same_readings", "warning", "copy the right log", also={"error": "where two such runs are compared"}),
    _run("marker_not_pressed", "note", "check its column and `equals`"),
    _run("stretch_not_placed", "warning", "mark it in this run too"),
    _run("loggers_drift", "warning", "look whether one gets hot, or counts its rate instead of timing it"),
    _run("loggers_overlap", "warning", "is it the right log, and whole?", also={"error": "over 20 %"}),
    _run("loggers_joined", "note", "nothing"),
    _run("same_clock_contradicted", "error", "name the two logs of one ride, or take same_clock out"),
    _run(
        "loggers_not_joined",
        "warning",
        "press both ends down three times at start and end",
        also={"error": "where nothing joins them"},
    ),
    _recording("lifted_at_range_end", "error", "plug it in; lift both wheels for 5 s and record it again"),
    _recording("lifted_moves", "error", "lift both wheels, let them come to rest, record 5 s again"),
    _recording("lifted_far", "warning", "were both wheels off the ground?"),
    _recording("not_at_rest", "warning", "hold still, let it come to rest, record it again"),
    _recording("one_sided", "note", "record one let go from the other side too"),
    _recording("friction_negative", "error", "check which recording is which, and that nobody moved"),
    _recording("no_decay", "note", "push once, let go, stay still"),
    _recording("no_load", "note", "state `load`"),
    _recording("nothing_recorded", "note", "nothing; or log an end's position too"),
    _comparison("same_setup", "error", "state what was changed in `[setups]`"),
    _comparison("false_readings", "error", "ride again"),
    _comparison("day_differs", "error", "bring what the baseline had and ride it on the second day too"),
    _comparison("one_run_each", "warning", "ride more of each: nothing is decided"),
    _comparison("run_not_usable", "warning", "look at `telemetry check`, or ride again"),
    _comparison("marks_not_alike", "note", "mark the same places in all runs"),
    _comparison("distance_not_alike", "note", "look at the speed sensor; start and end all runs at the same places"),
    _comparison("travel_not_alike", "note", "ride the same stretch every time, log speed or distance, or mark places"),
    _comparison("order_confounded", "warning", "ride A B B A or A B B A A B"),
    _comparison("several_changes", "warning", "change one thing a day where the cause matters"),
    _comparison("ground_speed_differs", "warning", "ride at one pace, or ask whether the setup made the difference"),
    _comparison("pace_contradicted", "note", "log speed where pace matters"),
    _comparison("duration_differs", "warning", "check `start_s` and `end_s`; one pace"),
    _comparison("airborne_share_differs", "warning", "the same line over the jumps"),
    _comparison("temperature_differs", "warning", "take turns between the setups, within fewer hours"),
    _comparison("rider_differs", "warning", "one rider for all"),
    _comparison("trail_state_differs", "warning", "compare runs of one state"),
    _comparison("lever_differs", "warning", "ride again with it in one position"),
    _comparison("geometry_differs", "warning", "put the geometry back, or say that the bike steers differently"),
    _comparison("full_travel_differs", "warning", "read the millimetres first"),
    _comparison("tyre_pressure_differs", "warning", "set both alike, unless that is the change under test"),
    _comparison("load_differs", "warning", "weigh both again, with the same rider, pack and battery"),
    _comparison("adjusters_at_end", "warning", "choose oil, shims or spring so that it stands mid-range"),
    _comparison("opened_only_once", "warning", "open both, drain, grease, refill and bleed alike"),
    _comparison("lower_legs_not_bled_here", "warning", "bleed at the trail, fully extended, both alike"),
    _comparison("friction_differs", "warning", "look for bushings, seals and grease"),
    _comparison("pressure_lost", "warning", "look for a leak"),
    _comparison("rate_differs", "warning", "log at one rate"),
    _comparison("sensors_differ", "warning", "check both calibrations by hand, or measure with one sensor"),
    _comparison("focus_named_late", "warning", "name them before riding; take this day's verdicts as a first look"),
    _comparison("naming_not_judged", "note", "state `named_at`, and `started_at` of every run"),
    _comparison("rider_confounded", "error", "have one rider ride both"),
    _comparison("trail_state_confounded", "error", "ride the setups in turns"),
    _comparison("put_on_once", "warning", "ride in rounds, and set everything anew each time"),
    _comparison("run_stands_apart", "warning", "look up whether its setup is right; correct it, or leave the run out"),
    _comparison("level_shift", "warning", "fix the sensor, lift both wheels for 5 s and record it, ride again"),
    _comparison("spread_unlike", "note", "look what was otherwise today"),
    _comparison("spread_not_judged", "note", "state `started_at` of every run"),
    _comparison("unplanned_looks", "note", "state `planned_runs` before riding"),
    _comparison("not_judged", "note", "write it down on the day"),
    _prediction("not_ridden_back", "error", "look at pressures, springs, masses and damper as they were ridden"),
    _prediction(
        "parts_contradicted",
        "warning",
        "measure pressure, spring, clicks and masses again",
        also={"note": "where they part at one place alone"},
    ),
    _prediction("not_as_expected", "warning", "look first at what was changed: is it as stated, and where you think?"),
)
BY_CODE: Mapping[str, FindingSpec] = MappingProxyType({spec.code: spec for spec in FINDINGS})
