"""Walks an order that a planner printed as JSON, step by step, through the formal rules."""

from kernel import BUILD, STRIP, Kernel

VERBS = {
    "part": {"off": "open", "on": "close"},
    "tie": {"undo": "open", "make": "close", "start": "start", "tighten": "close"},
    "prep": {"prep": "open", "end": "close"},
}


def exact(minutes):
    """Minutes from JSON as whole thousandths; None when it is no number with three decimals."""
    if isinstance(minutes, bool) or not isinstance(minutes, (int, float)):
        return None
    whole = round(minutes * 1000)
    return whole if abs(minutes * 1000 - whole) < 1e-6 else None


def complaints(m, answer, strip_only=False):
    """All that is wrong with an answer, judged without knowing the least; [] if nothing."""
    if not isinstance(answer.get("possible"), bool):
        return ["possible is neither true nor false"]
    if not answer["possible"]:
        return []
    if answer.get("proved") is not True:
        return ["not proved, on a machine this small"]
    if answer.get("build") and strip_only:
        return ["the build is not empty with --strip-only"]
    try:
        return walk(m, answer, strip_only)
    except (KeyError, TypeError, AttributeError) as e:
        return [f"the answer is not of the agreed form: {e!r}"]


def walk(m, answer, strip_only):
    """Replays strip and build; the complaints about steps, sums and the ends."""
    kernel = Kernel(m)
    state = [m.start, 0, m.at, m.holding, ()]
    total, bad, looked = 0, [], False
    for phase, key in ((STRIP, "strip"), (BUILD, "build")):
        for number, step in enumerate(answer[key], 1):
            if step["do"] == "look":
                looked = looked or step["id"] == "leak look"
                total += exact(step.get("minutes", 0)) + exact(step.get("change", 0))
                continue
            label = f"{key} step {number} ({step['do']} {step['id']})"
            cost, wrong = take(kernel, phase, state, step)
            if phase == BUILD and wrong is None and not looked:
                x = m.index[step["id"]]
                if kernel.late >> x & 1 and m.kinds[x] != "prep" and number > 1:
                    wrong = "no leak look stands before it"
            if wrong:
                return [f"{label}: {wrong}"]
            total += cost
        if phase == STRIP:
            bad += at_turn(m, answer, state[0])
    left = state[0] & ~m.leave & ~m.by_itself
    if left and not strip_only:
        bad.append(f"still open at the end: {', '.join(m.listed(left))}")
    if exact(answer["minutes"]) != total:
        bad.append(f"minutes is {answer['minutes']}, the steps sum up to {total / 1000}")
    least = exact(answer["least"])
    if not least <= total <= least * 1.03:
        bad.append(f"minutes is {answer['minutes']}, not within 3 % of least {answer['least']}")
    return bad


def at_turn(m, answer, opened):
    """What is wrong at the turn."""
    bad = []
    if m.targets & ~opened:
        bad.append(f"targets not met: {', '.join(m.listed(m.targets & ~opened))}")
    if sorted(answer["off"]) != sorted(m.listed(opened)):
        bad.append(f"off is {answer['off']}, open at the turn is {m.listed(opened)}")
    return bad


def take(kernel, phase, state, step):
    """Takes one printed step on `state` in place: (thousandths, None) or (0, what is wrong)."""
    m = kernel.m
    opened, started, spot, tool, running = state
    x = m.index.get(step["id"])
    if x is None:
        return 0, "unknown thing"
    verb = VERBS[m.kinds[x]].get(step["do"])
    if verb is None or (verb == "close" and (step["do"] == "tighten") != bool(m.group[x])
                        and m.kinds[x] == "tie"):
        return 0, "a verb that does not fit the thing"
    where, what = step.get("from"), step.get("tool")
    for legal in kernel.steps(phase, opened, started):
        if legal.thing != x or legal.verb != verb or legal.minutes != exact(step["minutes"]):
            continue
        if (None if legal.tool is None else m.tools[legal.tool]) != what:
            continue
        here = None if spot is None else m.spots[spot]
        fits = (None, here) if legal.at is None else (m.spots[legal.at],)
        change, next_spot, next_tool = kernel.change(spot, tool, legal)
        if where not in fits or exact(step["change"]) != change:
            continue
        state[0], state[1] = kernel.after(legal, opened, started)
        state[2], state[3] = next_spot, next_tool
        state[4] = kernel.clocks(running, legal, change + legal.minutes, state[0])
        if state[4] is None:
            return 0, "the sealant is no longer open"
        return change + legal.minutes, None
    offers = [
        f"{s.verb} from {None if s.at is None else m.spots[s.at]} with "
        f"{None if s.tool is None else m.tools[s.tool]}, {s.minutes / 1000} "
        f"+ {kernel.change(spot, tool, s)[0] / 1000}"
        for s in kernel.steps(phase, opened, started) if s.thing == x
    ]
    said = f"from {where} with {what}, {step['minutes']} + {step['change']}"
    return 0, f"{said} is not allowed now; allowed for it: {'; '.join(offers) or 'nothing'}"
