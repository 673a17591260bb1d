"""A path tracer that keeps apart what the camera sees of the thing and of what is behind it.

mode "thing":  radiance of the samples that meet the thing first (over black), their share, the thing's reflectance (hair's: 0) and normal
mode "behind": radiance of what stands behind as if the thing were invisible to the camera alone: its shadows and its bounce are there
mode "cover":  the share alone
A surface that light can pass (a veil) counts where a sample is scattered, not where it passes.
"""
import numpy as np
from base import *


class Splitter(mi.SamplingIntegrator):
    def __init__(self, props):
        super().__init__(props)
        self.mode, self.depth, self.most, self.sheer = "thing", 6, 12.0, False
        self.behind, self.back, self.hair = None, [], []      # the scene without the thing; its shapes; those of hair

    def aov_names(self):
        return [f"{a}.{c}" for a in ("albedo", "normal") for c in "RGB"] if self.mode == "thing" else []

    def is_back(self, si):
        return self.is_one(si, self.back)

    def is_one(self, si, shapes):
        m = mi.Mask(False)
        for s in shapes:
            m |= si.shape == mi.ShapePtr(s)
        return m

    def lit(self, scene, si, ds, active):
        """What of a light's way to a place is free; through what is sheer some of it passes."""
        if dr.hint(not self.sheer, mode="scalar"):
            return dr.select(scene.ray_test(si.spawn_ray_to(ds.p), active), mi.Color3f(0), mi.Color3f(1))
        ray, tr = si.spawn_ray_to(ds.p), mi.Color3f(1)
        for _ in range(4):
            hit = scene.ray_intersect(ray, active)
            met = active & hit.is_valid()
            tr = dr.select(met, tr * hit.bsdf().eval_null_transmission(hit, met), tr)
            active = met & (dr.max(tr) > 0)
            ray = hit.spawn_ray_to(ds.p)
        return dr.select(active, mi.Color3f(0), tr)

    def cover(self, scene, ray, active):
        """The share of what is behind that the thing hides."""
        if dr.hint(not self.sheer, mode="scalar"):
            si = scene.ray_intersect(ray, active)
            return mi.Color3f(dr.select(si.is_valid() & ~self.is_back(si), mi.Float(1), 0))
        free = mi.Color3f(1)
        for _ in range(10):
            si = scene.ray_intersect(ray, active)
            active &= si.is_valid() & ~self.is_back(si) & (dr.max(free) > 0)
            free = dr.select(active, free * si.bsdf().eval_null_transmission(si, active), free)
            ray = si.spawn_ray(ray.d)
        return 1 - free

    @dr.syntax
    def sample(self, scene, sampler, ray_, medium=None, active=True):
        ray, active = mi.Ray3f(ray_), mi.Mask(active)
        L, beta = mi.Color3f(0), mi.Color3f(1)
        albedo, normal = mi.Color3f(0), mi.Normal3f(0)
        seen, first = mi.Mask(False), mi.Mask(True)       # first: nothing has scattered the sample yet
        if dr.hint(self.mode == "cover", mode="scalar"):
            return self.cover(scene, ray, active), mi.Mask(True), []
        bounces, steps = mi.UInt32(0), mi.UInt32(0)
        prev, pdf, sure = dr.zeros(mi.SurfaceInteraction3f), mi.Float(1), mi.Mask(True)
        ctx = mi.BSDFContext()
        while active:
            si = scene.ray_intersect(ray, active)
            if dr.hint(self.mode == "behind", mode="scalar"):
                sb = self.behind.ray_intersect(ray, active & first)
                si = dr.select(first, sb, si)
            add = mi.Color3f(0)
            lamp = si.emitter(scene, active)
            ds = mi.DirectionSample3f(scene, si, prev)
            p = scene.pdf_emitter_direction(prev, ds, active & ~sure)
            w = dr.select(sure, 1, pdf / (pdf + p))
            add += dr.select(active & ~first, beta * w * lamp.eval(si, active), 0)
            active &= si.is_valid()
            if dr.hint(self.mode == "thing", mode="scalar"):
                active &= ~(first & self.is_back(si))
            bsdf = si.bsdf(ray)
            ds, lw = scene.sample_emitter_direction(si, sampler.next_2d(active), False, active)
            go = active & (ds.pdf > 0)
            wo = si.to_local(ds.d)
            val, bp = bsdf.eval_pdf(ctx, si, wo, go)
            go &= dr.max(val) > 0
            lw *= self.lit(scene, si, ds, go)
            direct = dr.select(go, beta * val * lw * dr.select(ds.delta, 1, ds.pdf / (ds.pdf + bp)), 0)
            s1, s2 = sampler.next_1d(active), sampler.next_2d(active)
            bs, bw = bsdf.sample(ctx, si, s1, s2, active)
            through = mi.has_flag(bs.sampled_type, mi.BSDFFlags.Null) & active
            met = active & first & ~through
            seen |= met & ~self.is_back(si)
            if dr.hint(self.mode == "thing", mode="scalar"):
                albedo = dr.select(met, dr.select(self.is_one(si, self.hair), 0, bsdf.eval_diffuse_reflectance(si, met)), albedo)
                normal = dr.select(met, si.sh_frame.n, normal)
            # A part-opaque surface lights up as a whole: half its samples pass it, yet its direct light is counted at each.
            add += direct
            L += dr.select(bounces > 0, dr.minimum(add, self.most), add)
            beta *= bw
            first &= through
            keep = active & ~through
            prev = dr.select(keep, si, prev)
            pdf = dr.select(keep, bs.pdf, pdf)
            sure = dr.select(keep, mi.has_flag(bs.sampled_type, mi.BSDFFlags.Delta), sure)
            ray = si.spawn_ray(si.to_world(bs.wo))
            bounces += dr.select(through, 0, 1)
            steps += 1
            active &= (bounces < self.depth) & (steps < self.depth + 6) & (dr.max(beta) > 2e-3)
        L = dr.select(dr.isfinite(L), L, 0)
        if dr.hint(self.mode == "thing", mode="scalar"):
            return L, seen, [albedo.x, albedo.y, albedo.z, normal.x, normal.y, normal.z]
        return L, seen, []


mi.register_integrator("splitter", lambda p: Splitter(p))


def splitter(mode, **kw):
    it = mi.load_dict({"type": "splitter"})
    it.mode = mode
    for k, v in kw.items():
        setattr(it, k, v)
    return it


class Set:
    """A studio set: lights, the things behind (paper, wall, stand) and the thing itself, as dictionaries for the renderer."""

    def __init__(self, lights, back, thing, sheer=False, depth=5):
        load = lambda d: {k: mi.load_dict(v) if isinstance(v, dict) else v for k, v in d.items()}
        self.lights, self.back, self.thing = load(lights), load(back), load(thing)
        self.all = mi.load_dict({"type": "scene", **self.lights, **self.back, **self.thing})
        self.behind = mi.load_dict({"type": "scene", **self.lights, **self.back})
        self.kw = {"behind": self.behind, "back": list(self.back.values()), "hair": [v for k, v in self.thing.items() if k.startswith(("hair", "bob"))], "sheer": sheer, "depth": depth}

    def render(self, mode, sensor, spp, seed, batch=32, empty=False):
        """Mean of so many samples; empty: nobody is on the set."""
        it, total, n = splitter(mode, **self.kw), 0, max(1, spp // batch)
        scene = self.behind if empty else self.all
        for k in range(n):
            total = total + np.array(mi.render(scene, integrator=it, sensor=sensor, spp=min(batch, spp), seed=seed * 1000 + k), dtype=np.float32)
        return total / n
