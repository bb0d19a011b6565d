"""Joint loads against MuJoCo's inverse dynamics of the same body, held still: an independent chain of bodies."""

import mujoco
import numpy as np
import pytest

from haleward.movement.bands import force_n
from haleward.movement.body import Body
from haleward.movement.geometry import Vec
from haleward.movement.library import default_library
from haleward.movement.loads import OWN_WEIGHT, LoadSpec
from haleward.movement.model import Joint
from haleward.movement.outside import Force, kit_forces
from haleward.movement.segments import LIMB_SEGMENTS, limb_mass
from haleward.movement.stack import State
from haleward.movement.torque import load_path
from haleward.record import Band, Posture

BODIES = (Body(stature_m=1.70, mass_kg=80), Body(stature_m=1.52, mass_kg=92))
BAND = Band("flat", stiffness_n=13.0, rest_length_m=2.0)
ONE_KG, BOTTLE = LoadSpec("hand_weight", mass_kg=1.0), LoadSpec("bottle", mass_kg=0.5)
ANKLE = LoadSpec("ankle_weight", mass_kg=1.5)
CHAINS = {"arm": (("shoulder", "upper_arm"), ("elbow", "forearm"), ("wrist", "hand")),
          "leg": (("hip", "thigh"), ("knee", "shank"), ("ankle", "foot"))}  # fmt: skip
CASES: tuple[tuple[str, Posture, Joint, LoadSpec], ...] = (
    ("biceps_curl", "standing", "elbow", OWN_WEIGHT),
    ("biceps_curl", "standing", "elbow", ONE_KG),
    ("biceps_curl", "seated", "elbow", BOTTLE),
    ("biceps_curl", "hand_supported", "elbow", ONE_KG),
    ("biceps_curl", "standing", "elbow", LoadSpec("band", band="flat", hold_length_m=0.65)),
    ("biceps_curl", "seated", "elbow", LoadSpec("band", band="flat", hold_length_m=0.60)),
    ("lateral_raise", "standing", "shoulder", OWN_WEIGHT),
    ("lateral_raise", "seated", "shoulder", ONE_KG),
    ("lateral_raise", "standing", "shoulder", LoadSpec("band", band="flat", hold_length_m=0.75)),
    ("front_raise", "standing", "shoulder", BOTTLE),
    ("overhead_press", "seated", "shoulder", ONE_KG),
    ("chest_press", "seated", "shoulder", LoadSpec("band", band="flat", hold_length_m=1.2)),
    ("band_row", "seated", "shoulder", LoadSpec("band", band="flat", hold_length_m=0.6)),
    ("band_pull_down", "standing", "shoulder", LoadSpec("band", band="flat", hold_length_m=0.6)),
    ("band_pull_apart", "standing", "shoulder", LoadSpec("band", band="flat", hold_length_m=0.5)),
    ("shoulder_rotation_out", "seated", "shoulder", LoadSpec("band", band="flat", hold_length_m=0.4)),
    ("single_arm_row", "hand_supported", "shoulder", ONE_KG),
    ("upright_row", "standing", "shoulder", ONE_KG),
    ("triceps_kickback", "hand_supported", "elbow", BOTTLE),
    ("knee_extension", "seated", "knee", OWN_WEIGHT),
    ("knee_extension", "seated", "knee", ANKLE),
    ("knee_lift", "seated", "hip", ANKLE),
    ("side_leg_raise", "standing", "hip", OWN_WEIGHT),
    ("side_leg_raise", "hand_supported", "hip", ANKLE),
    ("hip_extension", "standing", "hip", ANKLE),
    ("hamstring_curl", "standing", "knee", ANKLE),
    ("seated_leg_press", "seated", "knee", LoadSpec("band", band="flat", hold_length_m=0.5)),
)


def chain(state: State, body: Body, limb: str) -> tuple[mujoco.MjModel, mujoco.MjData]:
    """One limb as MuJoCo bodies with ball joints, in the pose of this instant, nothing moving."""
    links, parent = "", np.zeros(3)
    for joint, segment in CHAINS[limb]:
        at, mass = (
            state.joints[f"{joint}_left"],
            limb_mass(state.joints, body, segment=segment, side="left", scheme="winter"),
        )
        offset, centre = at - parent, mass.at - at
        links += (
            f'<body name="{joint}" pos="{offset[0]} {offset[1]} {offset[2]}"><joint type="ball"/>'
            f'<inertial pos="{centre[0]} {centre[1]} {centre[2]}" mass="{mass.mass_kg}" diaginertia="1e-3 1e-3 1e-3"/>'
        )
        parent = at
    xml = f'<mujoco><option gravity="0 0 -9.81"/><worldbody>{links}{"</body>" * 3}</worldbody></mujoco>'
    model = mujoco.MjModel.from_xml_string(xml)
    return model, mujoco.MjData(model)


def held_moment(state: State, body: Body, joint: str, forces: tuple[Force, ...]) -> Vec:
    """The moment that must be held at ``joint``, by inverse dynamics and the Jacobians of the outside forces."""
    limb = "arm" if joint in ("shoulder", "elbow") else "leg"
    model, data = chain(state, body, limb)
    mujoco.mj_inverse(model, data)
    applied, last = np.zeros(model.nv), model.nbody - 1
    for force in forces:
        mujoco.mj_applyFT(model, data, force.newtons, np.zeros(3), force.at, last, applied)
    names = [name for name, _ in CHAINS[limb]]
    first = 3 * names.index(joint)
    return (data.qfrc_inverse - applied)[first : first + 3]


def of_limb(forces: tuple[Force, ...], joint: str) -> tuple[Force, ...]:
    end = "hand_left" if joint in ("shoulder", "elbow") else "ankle_left"
    return tuple(force for force in forces if force.on == end)


@pytest.mark.parametrize("body", BODIES, ids=["1.70 m, 80 kg", "1.52 m, 92 kg"])
@pytest.mark.parametrize(("movement", "posture", "joint", "load"), CASES)
def test_the_moment_at_the_joint_is_what_inverse_dynamics_says(
    movement: str, posture: Posture, joint: Joint, load: LoadSpec, body: Body
) -> None:
    form = default_library().form(movement, posture)
    path = load_path(form, body, joint=joint, scheme="winter", load=load, band=BAND, side="left")
    sizes = [float(np.linalg.norm(point.moment_nm)) for point in path.points]
    bearing = [point for point in path.points if not (joint in ("hip", "knee") and loaded_foot(point.state))]
    assert len(bearing) >= len(path.points) // 2
    for point in bearing:
        kit = of_limb(kit_forces(form, load, point.state, body, working="left", band=BAND), joint)
        held = held_moment(point.state, body, joint, kit)
        assert point.moment_nm == pytest.approx(-held, abs=0.01 * max(sizes))


def loaded_foot(state: State) -> bool:
    """Whether the floor carries the left leg: then its push, or the seat's, is part of the moment, tested elsewhere."""
    return state.feet["left"].planted


def test_the_referee_feels_a_wrong_lever() -> None:
    body = BODIES[0]
    form = default_library().form("biceps_curl", "standing")
    state = load_path(form, body, joint="elbow", scheme="winter").points[16].state
    right = held_moment(state, body, "elbow", ())
    pulled = Force(np.array([0.0, 0.0, -9.81]), state.joints["hand_left"] + np.array([0.02, 0.0, 0.0]), "hand_left")
    exact = Force(pulled.newtons, state.joints["hand_left"], "hand_left")
    wrong, true = (held_moment(state, body, "elbow", (one,)) for one in (pulled, exact))
    assert abs(wrong[1] - true[1]) == pytest.approx(9.81 * 0.02, rel=1e-6)
    assert not np.allclose(true, right)


def test_the_band_pulls_with_the_force_of_its_law() -> None:
    body, form = BODIES[0], default_library().form("biceps_curl", "standing")
    state = load_path(form, body, joint="elbow", scheme="winter").points[-1].state
    load = LoadSpec("band", band="flat", hold_length_m=0.65)
    pull = of_limb(kit_forces(form, load, state, body, working="left", band=BAND), "elbow")[0]
    foot = state.feet["left"].origin
    strand = np.linalg.norm(state.joints["hand_left"] - foot - np.array([body.ball * 0.55, 0.055, 0.012]))
    assert np.linalg.norm(pull.newtons) == pytest.approx(force_n(stiffness_n=13.0, hold_length_m=0.65, length_m=strand))


def test_every_limb_segment_is_part_of_a_chain() -> None:
    assert {segment for links in CHAINS.values() for _, segment in links} == set(LIMB_SEGMENTS)
