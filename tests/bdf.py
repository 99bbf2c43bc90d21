"""The body's equations solved another way: cell centres, k(T) at the faces, scipy's BDF at tight tolerance."""

from __future__ import annotations

import numpy as np
from scipy.integrate import solve_ivp
from scipy.sparse import diags_array

from studiotimer.thermal.air import heat_flux
from studiotimer.thermal.body import HORIZON_S, Case
from studiotimer.thermal.criteria import targets
from studiotimer.thermal.freezing import ice_fraction
from studiotimer.thermal.properties import conductivity_at, density, enthalpy


class BdfBody:
    """One scoop on `cells` cells, thinner toward the surface."""

    def __init__(self, case: Case, cells: int = 160, growth: float = 1.025) -> None:
        self.case = case
        radius = case.form.half_m
        depth = np.concatenate([[0.0], np.cumsum(growth ** np.arange(cells))])
        self.faces = radius * (1 - depth / depth[-1])[::-1]
        self.centres = (self.faces[1:] + self.faces[:-1]) / 2
        self.volumes = np.diff(self.faces**3) / 3
        t = np.unique(np.concatenate([np.linspace(-90, 60, 6001), np.linspace(-6, 0, 6001)]))
        self.t, self.h = t, enthalpy(case.mix, t)
        self.k = conductivity_at(case.mix, t, ice_fraction(case.mix, t))
        self.density = density(case.mix)
        self.gaps = np.diff(self.centres)

    def temperature(self, h):
        return np.interp(h, self.h, self.t)

    def surface(self, t_last, k_last, around):
        """Return the surface temperature at which conduction from the last cell meets the flux, by Newton."""
        gap = self.faces[-1] - self.centres[-1]
        t = t_last
        for _ in range(30):
            q, ahead = heat_flux(np.array([t, t + 1e-4]), around, self.case.form.along_m)
            miss = k_last * (t - t_last) / gap - q
            step = miss / (k_last / gap - (ahead - q) / 1e-4)
            t -= step
            if abs(step) < 1e-10:
                break
        return t

    def rate(self, h, around):
        t = self.temperature(h)
        k = np.interp(t, self.t, self.k)
        flow = np.zeros(h.size + 1)
        flow[1:-1] = self.faces[1:-1] ** 2 * (k[1:] + k[:-1]) / 2 * np.diff(t) / self.gaps
        flow[-1] = (
            self.faces[-1] ** 2
            * k[-1]
            * (self.surface(t[-1], k[-1], around) - t[-1])
            / (self.faces[-1] - self.centres[-1])
        )
        return np.diff(flow) / self.volumes / self.density

    def softened(self, h):
        """Return the softened layer [m]: volume where the ice is at or below hold, over surface area."""
        limit = targets(self.case.mix).softened
        wet = h >= limit
        radius = self.faces[-1]
        if not wet.any():
            return 0.0
        inner = int(np.argmax(wet))
        if inner == 0:
            return radius / 3
        share = (limit - h[inner - 1]) / (h[inner] - h[inner - 1])
        front = self.centres[inner - 1] + share * (self.centres[inner] - self.centres[inner - 1])
        return (radius**3 - front**3) / (3 * radius**2)

    def solve(self, horizon_s=HORIZON_S, rtol=1e-7, atol=0.1):
        """Return the state after the pieces and the seconds to slump in the last surroundings."""
        n = self.centres.size
        shape = diags_array([np.ones(n - 1), np.ones(n), np.ones(n - 1)], offsets=[-1, 0, 1]).tocsc()
        h = np.full(n, float(self.case.state[0]))
        options = {"method": "BDF", "rtol": rtol, "atol": atol, "jac_sparsity": shape}
        for piece in self.case.pieces:
            around = piece.surroundings
            h = solve_ivp(lambda _, y, a=around: self.rate(y, a), (0, piece.seconds), h, **options).y[:, -1]
        if self.case.last is None:
            return h, np.inf

        def slump(_, y):
            return self.softened(y) - targets(self.case.mix).layer_m

        slump.terminal, slump.direction = True, 1
        if slump(0, h) >= 0:
            return h, 0.0
        run = solve_ivp(lambda _, y: self.rate(y, self.case.last), (0, horizon_s), h, events=slump, **options)
        return h, float(run.t_events[0][0]) if run.t_events[0].size else np.inf
