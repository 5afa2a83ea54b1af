"""Whether the logs can be trusted: findings that take what was cleaned to tell."""

from .at_rest import not_at_rest
from .changed_places import changed_places
from .channel import channel_findings
from .dead_band import dead_band
from .drifting import drift_findings
from .felt import felt_findings
from .flight_level import zero_in_flight
from .inertial_entered import unplaced, wheel_calmer
from .levels import RunLevels, run_levels
from .lifted import LiftedEnd, lifted_wrong, zero_lost
from .lines import line_noise
from .not_placed import stretch_not_placed
from .opened import zero_unchecked
from .order import ends_opposed, ends_swapped, ends_swapped_in_part
from .pushes import push_findings
from .readings import reading_findings
from .same_readings import Ridden, readings_mark, same_readings
from .slip import slipped
from .slow import slow_rate
from .whole_run import run_findings
from .zero import ZeroFacts, flat_stretches, zero_moved, zero_moves_after, zero_shift

__all__ = [
    "LiftedEnd",
    "Ridden",
    "RunLevels",
    "ZeroFacts",
    "changed_places",
    "channel_findings",
    "dead_band",
    "drift_findings",
    "ends_opposed",
    "ends_swapped",
    "ends_swapped_in_part",
    "felt_findings",
    "flat_stretches",
    "lifted_wrong",
    "line_noise",
    "not_at_rest",
    "push_findings",
    "reading_findings",
    "readings_mark",
    "run_findings",
    "run_levels",
    "same_readings",
    "slipped",
    "slow_rate",
    "stretch_not_placed",
    "unplaced",
    "wheel_calmer",
    "zero_in_flight",
    "zero_lost",
    "zero_moved",
    "zero_moves_after",
    "zero_shift",
    "zero_unchecked",
]
