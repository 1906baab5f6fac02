"""Motor and car by an outside stiff solver: makes motor-solver.json.

    python3 motor-solver.py > motor-solver.json

SciPy's solve_ivp with method Radau (implicit Runge-Kutta of order 5, Hairer and Wanner), relative tolerance 1e-11,
one solution from event to event: breaking away from rest, speed through zero, current through zero while the terminals
are open, and every switching. Equations:

    L di/dt = v - R i - Ke w,   J dw/dt = Ke i - b w - Tc sign(w),   held at w = 0 while |Ke i| <= Tc

with J and Tc of rotor and car together; and for tyres

    Jm dw/dt = Ke i - b w - Tf - F n,   m dv/dt = F - crr N

with the current of the averaged motor, i = (duty Vs - Ke w)/R. Those go by the explicit method DOP853: a solver that takes
its Jacobian from differences is led astray where wheels and car must not run backwards. Terminals while open: 0 V for a
current above zero, Vs for one below.
"""
import json
import math
import sys

import numpy
import scipy
from scipy.integrate import solve_ivp

G = 9.80665
COMMON = dict(mag=0.0, crr=0.03, rear=0.6, rho=0.7)
PRESETS = {
    "mild": dict(R=4.0, L=1.0e-3, Ke=5.7e-3, Jm=0.7e-7, b=2e-8, Tf=4e-4, Vs=12.0, m=0.085, r=0.0100, gear=3.0, mu=0.8, **COMMON),
    "club": dict(R=0.6, L=0.12e-3, Ke=2.8e-3, Jm=1.2e-7, b=3e-8, Tf=8e-4, Vs=12.5, m=0.110, r=0.0102, gear=3.6, mu=1.0, **COMMON),
    "strong": dict(R=0.18, L=0.025e-3, Ke=1.75e-3, Jm=1.0e-7, b=4e-8, Tf=1.2e-3, Vs=13.5, m=0.085, r=0.0102, gear=4.5, mu=1.2, **COMMON),
}
OPTIONS = dict(method="Radau", rtol=1e-11)
TYRE_OPTIONS = dict(method="DOP853", rtol=1e-9, atol=[1e-7, 1e-10, 1e-10], max_step=0.0001)


def shaft(c):
    n = c["r"] / c["gear"]
    load = c["m"] * G + c["mag"]
    return n, c["Jm"] + c["m"] * n * n, c["Tf"] + c["crr"] * load * n


def terminal(event, direction):
    event.terminal = True
    event.direction = direction
    return event


def segment(c, i, w, x, feed, duration):
    """State (i, w, distance) after a segment; feed is a voltage or 'open'."""
    n, J, Tc = shaft(c)
    t = 0.0
    while t < duration:
        if feed == "open":
            if i > 0:
                volts = 0.0
            elif i < 0 or c["Ke"] * w > c["Vs"]:
                volts = c["Vs"]
            else:
                volts = None
        else:
            volts = feed
        locked = w == 0 and abs(c["Ke"] * i) <= Tc
        sign = 0 if locked else (1 if w > 0 or (w == 0 and i > 0) else -1)
        if volts is None and locked:
            return i, w, x

        def rates(_, y):
            di = 0.0 if volts is None else (volts - c["R"] * y[0] - c["Ke"] * y[1]) / c["L"]
            dw = 0.0 if locked else (c["Ke"] * y[0] - c["b"] * y[1] - Tc * sign) / J
            return [di, dw, n * y[1]]

        events = []
        if locked:
            events.append(terminal(lambda _, y: abs(c["Ke"] * y[0]) - Tc, 1))
        else:
            events.append(terminal(lambda _, y: sign * y[1], -1))
        if feed == "open" and volts is not None:
            side = 1 if volts == 0.0 else -1
            events.append(terminal(lambda _, y: side * y[0], -1))
        solution = solve_ivp(
            rates, (t, duration), [i, w, x], events=events, atol=[1e-10, 1e-8, 1e-12], **OPTIONS
        )
        assert solution.success, solution.message
        i, w, x = (float(part) for part in solution.y[:, -1])
        t = float(solution.t[-1])
        if solution.status == 1:
            if locked and len(solution.t_events[0]):
                i = math.copysign(Tc / c["Ke"] * (1 + 1e-12), i)
            elif not locked and len(solution.t_events[0]):
                w = 0.0
            else:
                i = 0.0
    return i, w, x


def stopping(c, w0):
    """Seconds and metres from a speed to rest with the terminals shorted; the current starts at 0."""
    n, J, Tc = shaft(c)
    rates = lambda _, y: [(-c["R"] * y[0] - c["Ke"] * y[1]) / c["L"], (c["Ke"] * y[0] - c["b"] * y[1] - Tc) / J, n * y[1]]
    event = terminal(lambda _, y: y[1], -1)
    solution = solve_ivp(rates, (0, 30), [0.0, w0, 0.0], events=[event], atol=[1e-10, 1e-8, 1e-12], **OPTIONS)
    return float(solution.t[-1]), float(solution.y[2, -1])


def full_drive():
    rows = []
    for name, c in PRESETS.items():
        i = w = x = t = 0.0
        for until in (0.05, 0.1, 0.3):
            i, w, x = segment(c, i, w, x, c["Vs"], until - t)
            t = until
            rows.append(dict(preset=name, s=until, currentA=i, speedRadPerS=w, distanceM=x))
    return rows


def braked():
    rows = []
    for name, c in PRESETS.items():
        for w0 in (500.0, 1500.0):
            i, w, x = segment(c, 0.0, w0, 0.0, 0.0, 0.02)
            seconds, metres = stopping(c, w0)
            rows.append(dict(preset=name, fromRadPerS=w0, after20MsRadPerS=w, stopS=seconds, stopM=metres))
    return rows


def switched():
    rows = []
    cases = [
        ("club", 0.2, 0.0, 200), ("club", 0.2, 0.0, 500), ("club", 0.2, 0.0, 2000), ("club", 0.2, 1.0, 500),
        ("club", 0.6, 0.3, 1000), ("club", 0.6, 0.0, 200), ("mild", 0.4, 0.0, 500), ("mild", 0.4, 1.0, 2000),
        ("mild", 0.3, 0.0, 200), ("strong", 0.3, 0.0, 1000), ("strong", 0.5, 0.5, 2000), ("strong", 0.3, 0.0, 200),
    ]
    for name, duty, short, hz in cases:
        c = PRESETS[name]
        i = w = x = 0.0
        period = 1 / hz
        off = (1 - duty) * period
        speeds = []
        for k in range(round(0.1 * hz)):
            i, w, x = segment(c, i, w, x, c["Vs"], duty * period)
            if short < 1:
                i, w, x = segment(c, i, w, x, "open", off * (1 - short))
            if short > 0:
                i, w, x = segment(c, i, w, x, 0.0, off * short)
            if k + 1 == round(0.05 * hz):
                speeds.append(w)
        speeds.append(w)
        rows.append(dict(preset=name, duty=duty, offShort=short, pwmHz=hz, after50MsRadPerS=speeds[0], after100MsRadPerS=speeds[1]))
        print(rows[-1], file=sys.stderr)
    return rows


def periods():
    """Mean and rms current of the repeated period at a held speed: many periods, the last one counted."""
    rows = []
    cases = [
        ("club", 0.2, 0.0, 200, 4.0, "slow"), ("club", 0.2, 0.0, 2000, 2.0, "slow"), ("club", 0.5, 0.4, 1000, 6.0, "slow"),
        ("club", 0.0, 0.5, 1000, 6.0, "slow"), ("club", 0.0, 0.3, 5000, 8.0, "slow"), ("mild", 0.35, 0.2, 1450, 5.0, "slow"),
        ("strong", 0.6, 0.0, 5000, 3.0, "slow"), ("club", 0.6, 0.0, 5000, 2.0, "fast"), ("mild", 0.8, 0.0, 5000, 1.0, "fast"),
        ("strong", 0.1, 0.7, 3000, 9.0, "fast"),
    ]
    for name, duty, short, hz, emf, decay in cases:
        c = PRESETS[name]
        period = 1 / hz
        off = (1 - duty) * period
        i = 0.0
        for _ in range(60):
            charge = square = supply = 0.0
            for kind, length in (("drive", duty * period), ("open", off * (1 - short)), ("short", off * short)):
                left = length
                while left > 1e-15:
                    if kind == "drive":
                        volts, share = c["Vs"], 1
                    elif kind == "short":
                        volts, share = 0.0, 0
                    elif i > 0:
                        volts, share = (0.0, 0) if decay == "slow" else (-c["Vs"], -1)
                    elif i < 0:
                        volts, share = c["Vs"], 1
                    else:
                        break
                    side = 1 if i > 0 else -1
                    rates = lambda _, y: [(volts - emf - c["R"] * y[0]) / c["L"], y[0], y[0] ** 2]
                    events = [terminal(lambda _, y: side * y[0], -1)] if kind == "open" else None
                    solution = solve_ivp(rates, (0, left), [i, 0.0, 0.0], events=events, atol=1e-13, **OPTIONS)
                    i = float(solution.y[0, -1])
                    charge += float(solution.y[1, -1])
                    square += float(solution.y[2, -1])
                    supply += share * float(solution.y[1, -1])
                    left -= float(solution.t[-1])
                    if solution.status == 1:
                        i = 0.0
        rows.append(dict(
            preset=name, duty=duty, offShort=short, pwmHz=hz, backEmfV=emf, decay=decay,
            meanA=charge / period, rmsA=math.sqrt(square / period), supplyA=supply / period,
        ))
    return rows


def tyre_rates(c, duty, short):
    n = c["r"] / c["gear"]
    load = c["m"] * G + c["mag"]
    grip = c["mu"] * (c["rear"] * c["m"] * G + c["mag"])

    def rates(t, y):
        w, v = y[0], y[1]
        d = duty(t)
        # The brake of this table is an averaged one: a share of the current of a full short.
        i = (d * c["Vs"] - c["Ke"] * w) / c["R"] if d > 0 else -short * c["Ke"] * w / c["R"]
        slip = w * n - v
        size = abs(slip)
        force = grip * slip / 0.05 if size <= 0.05 else math.copysign(
            grip * (c["rho"] + (1 - c["rho"]) * math.exp(-(size - 0.05) / 0.5)), slip
        )
        dw = (c["Ke"] * i - c["b"] * w - c["Tf"] - force * n) / c["Jm"]
        dv = (force - c["crr"] * load) / c["m"]
        # Neither runs backwards: not at the start, and not when wheels lock.
        if w <= 0 and dw < 0:
            dw = 0.0
        if v <= 0 and dv < 0:
            dv = 0.0
        return [dw, dv, v]

    return rates


def tyres():
    rows = []
    for mag, rho, ramp in [(3.0, 0.7, 0), (3.0, 0.7, 150), (3.0, 0.7, 300), (3.0, 0.7, 500), (3.0, 1.0, 0), (3.0, 1.0, 300), (0.0, 0.7, 0)]:
        c = dict(PRESETS["club"], mag=mag, rho=rho)
        duty = (lambda t: 1.0) if ramp == 0 else (lambda t: min(1.0, 0.08 + t / (ramp / 1000)))
        event = terminal(lambda _, y: y[1] - 3.0, 1)
        solution = solve_ivp(
            tyre_rates(c, duty, 0), (0, 5), [0.0, 0.0, 0.0], events=[event], **TYRE_OPTIONS
        )
        rows.append(dict(preset="club", fMagN=mag, rho=rho, rampUpMs=ramp, to3MPerS=float(solution.t[-1])))
        print(rows[-1], file=sys.stderr)
    return rows


def tyre_stops():
    rows = []
    for short in (0.02, 0.05, 0.1, 1.0):
        c = PRESETS["club"]
        n = c["r"] / c["gear"]
        event = terminal(lambda _, y: y[1] - 1e-3, -1)
        solution = solve_ivp(
            tyre_rates(c, lambda t: 0.0, short), (0, 20), [5.0 / n, 5.0, 0.0], events=[event], **TYRE_OPTIONS
        )
        rows.append(dict(preset="club", offShort=short, fromMPerS=5.0, stopS=float(solution.t[-1]), stopM=float(solution.y[2, -1])))
        print(rows[-1], file=sys.stderr)
    return rows


print(json.dumps(dict(
    source=f"motor-solver.py: SciPy {scipy.__version__} solve_ivp (Radau; tyres DOP853), NumPy {numpy.__version__}",
    fullDrive=full_drive(), braked=braked(), switched=switched(), periods=periods(), tyres=tyres(), tyreStops=tyre_stops(),
), indent=1))
