"""Photons walked through a slab one event at a time, as a second opinion on faces and ground.

Steps exp(-tau), Henyey-Greenstein angles (Henyey and Greenstein 1941; sampling as in Wang, Jacques
and Zheng 1995, Comput. Methods Programs Biomed. 47, 131), sine and tangent form of Fresnel's
equations, a Lambertian ground in the medium below. Only the cosine matters for fluxes, so a
direction is a cosine and scattering turns it by a random azimuth.
"""

from __future__ import annotations

import numpy as np

__all__ = ["slab_by_photons"]


def _fresnel(cosine, inside, outside):
    """Unpolarised reflectance for light going from index `inside` to `outside`."""
    if inside == outside:
        return np.zeros_like(cosine)
    theta = np.arccos(np.clip(cosine, 1e-9, 1 - 1e-12))
    sine = np.sin(theta) * inside / outside
    bent = np.arcsin(np.minimum(sine, 1.0))
    s = np.sin(theta - bent) / np.sin(theta + bent)
    p = np.tan(theta - bent) / np.tan(theta + bent)
    return np.where(sine >= 1, 1.0, (s**2 + p**2) / 2)


def _refract(cosine, before, after):
    return np.sqrt(np.maximum(1 - (before / after) ** 2 * (1 - cosine**2), 0.0))


def slab_by_photons(
    depth, albedo, g, *, film=1.0, above=1.0, below=1.0, ground=0.0, incidence=1.0, photons, rng
):
    """Return reflected, transmitted (into the ground), absorbed shares."""
    start = np.full(photons, incidence) if incidence != "diffuse" else np.sqrt(rng.random(photons))
    mirrored = rng.random(photons) < _fresnel(start, above, film)
    reflected, transmitted, absorbed = int(mirrored.sum()), 0, 0
    mu = _refract(start[~mirrored], above, film)  # > 0 goes down
    z = np.zeros_like(mu)
    while mu.size:
        z = z + mu * rng.exponential(size=mu.size)
        leaving = (z < 0) | (z > depth)
        # those that meet a face
        m, down = np.abs(mu[leaving]), mu[leaving] > 0
        top_chance, bottom_chance = _fresnel(m, film, above), _fresnel(m, film, below)
        back = rng.random(m.size) < np.where(down, bottom_chance, top_chance)
        out_below = int(np.sum(down & ~back))
        reflected += int(np.sum(~down & ~back))
        sunk, risen = _ground(out_below, ground, below, film, rng)
        transmitted += sunk
        # those inside the slab: absorbed or turned
        kept = rng.random(mu.size - m.size) < albedo
        absorbed += int(np.sum(~kept))
        turned = _turn(mu[~leaving][kept], g, rng)
        mu_back = np.where(down, -m, m)[back]
        mu = np.concatenate([turned, mu_back, -risen])
        z = np.concatenate(
            [
                z[~leaving][kept],
                np.where(down, depth, 0.0)[back],
                np.full(risen.size, float(depth)),
            ]
        )
    return np.array([reflected, transmitted, absorbed]) / photons


def _ground(count, ground, below, film, rng):
    """Return how many the ground takes, and the cosines inside the film of those that return."""
    sunk, risen = 0, []
    while count:
        sent = int(rng.binomial(count, ground))
        sunk += count - sent
        cosine = np.sqrt(rng.random(sent))
        back = rng.random(sent) < _fresnel(cosine, below, film)
        risen.append(_refract(cosine[~back], below, film))
        count = int(back.sum())
    return sunk, np.concatenate(risen) if risen else np.empty(0)


def _turn(mu, g, rng):
    u = 2 * rng.random(mu.size) - 1
    angle = u if abs(g) < 1e-9 else (1 + g * g - ((1 - g * g) / (1 + g * u)) ** 2) / (2 * g)
    azimuth = 2 * np.pi * rng.random(mu.size)
    sines = np.sqrt(np.maximum((1 - mu**2) * (1 - angle**2), 0.0))
    return np.clip(mu * angle + sines * np.cos(azimuth), -1, 1)
