"""Colour, noise, files, geometry, materials and the path tracer shared by everything in this folder.

Metres; x right, y up, z away from the camera. Colours are linear sRGB.
Formulas: CIE 15 daylight locus; Planckian locus fit of Kim et al. 2002; Bradford matrix as published by Lam 1985;
IEC 61966-2-1 (sRGB); Koschmieder's law for haze.
"""
import ctypes.util, glob, math, os, tempfile, zlib
import numpy as np

if "DRJIT_LIBLLVM_PATH" not in os.environ:
    for v in range(25, 16, -1):
        hit = glob.glob(f"/usr/lib/*/libLLVM*{v}*") + glob.glob(f"/usr/lib/llvm-{v}/lib/libLLVM*.so*")
        if hit:
            os.environ["DRJIT_LIBLLVM_PATH"] = sorted(hit)[0]
            break
import mitsuba as mi
mi.set_variant("llvm_ad_rgb")
import drjit as dr
from mitsuba import ScalarTransform4f as T
from PIL import Image

TMP = tempfile.mkdtemp(prefix="lantern-marsh-")
LUMA = np.array([0.2126, 0.7152, 0.0722])
UP = np.array([0.0, 1.0, 0.0])

# ------------------------------------------------------------------------------------------------ colour
M_XYZ_RGB = np.array([[3.2404542, -1.5371385, -0.4985314], [-0.9692660, 1.8760108, 0.0415560],
                      [0.0556434, -0.2040259, 1.0572252]])
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])


def cct_xy(t):
    if t >= 4000:
        x = (0.244063 + 0.09911e3 / t + 2.9678e6 / t**2 - 4.6070e9 / t**3) if t <= 7000 else \
            (0.237040 + 0.24748e3 / t + 1.9018e6 / t**2 - 2.0064e9 / t**3)
        return x, -3.0 * x * x + 2.87 * x - 0.275
    x = -0.2661239e9 / t**3 - 0.2343589e6 / t**2 + 0.8776956e3 / t + 0.179910
    if t < 2222:
        return x, -1.1063814 * x**3 - 1.34811020 * x**2 + 2.18555832 * x - 0.20219683
    return x, -0.9549476 * x**3 - 1.37418593 * x**2 + 2.09137015 * x - 0.16748867


def light_rgb(cct, wb):
    """Linear sRGB of a light of this colour temperature, luminance 1, in a file balanced for wb kelvin."""
    XYZ = lambda xy: np.array([xy[0] / xy[1], 1.0, (1 - xy[0] - xy[1]) / xy[1]])
    src, dst = BRADFORD @ XYZ(cct_xy(wb)), BRADFORD @ XYZ((0.31271, 0.32902))
    a = np.linalg.inv(BRADFORD) @ np.diag(dst / src) @ BRADFORD
    return np.maximum(M_XYZ_RGB @ (a @ XYZ(cct_xy(cct))), 0.0)


def encode(x):
    x = np.clip(x, 0, 1)
    return np.where(x <= 0.0031308, 12.92 * x, 1.055 * np.power(np.maximum(x, 1e-9), 1 / 2.4) - 0.055)


def decode(x):
    return np.where(x <= 0.04045, x / 12.92, ((x + 0.055) / 1.055) ** 2.4)


# ------------------------------------------------------------------------------------------------ files
def save_jpeg(path, linear, quality=92, grain=0.0, seed=0):
    e = encode(linear) * 255
    if grain:
        rng = np.random.default_rng(seed)
        e = e + rng.normal(0, grain, e.shape[:2])[..., None] + rng.normal(0, grain * 0.4, e.shape)
    Image.fromarray(np.clip(np.round(e), 0, 255).astype(np.uint8)).save(path, quality=quality, subsampling=0, optimize=True)


def _chunk(tag, data):
    return len(data).to_bytes(4, "big") + tag + data + zlib.crc32(tag + data).to_bytes(4, "big")


def save_matte(path, a, bits=10):
    """16-bit grey PNG, linear, from 0..1; kept to `bits` significant bits (the sampling noise lies above that)."""
    n = (1 << bits) - 1
    q = np.round(np.clip(a, 0, 1) * n).astype(np.uint32)
    q = ((q << (16 - bits)) | (q >> (2 * bits - 16))).astype(np.uint16)
    h, w = q.shape
    raw = q.astype(">u2").view(np.uint8).reshape(h, w * 2).astype(np.int16)
    left = np.pad(raw, ((0, 0), (2, 0)))[:, :-2]
    up = np.pad(raw, ((1, 0), (0, 0)))[:-1]
    best = None
    for force in (None, 0, 1, 2):
        rows = [r.astype(np.uint8) for r in (raw, raw - left, raw - up, raw - (left + up) // 2)]
        cost = np.stack([np.abs(r.view(np.int8).astype(np.int32)).sum(1) for r in rows])
        pick = cost.argmin(0) if force is None else np.full(h, force)
        data = b"".join(bytes([pick[i]]) + rows[pick[i]][i].tobytes() for i in range(h))
        z = zlib.compress(data, 9)
        best = z if best is None or len(z) < len(best) else best
    ihdr = w.to_bytes(4, "big") + h.to_bytes(4, "big") + bytes([16, 0, 0, 0, 0])
    with open(path, "wb") as f:
        f.write(b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", ihdr) + _chunk(b"IDAT", best) + _chunk(b"IEND", b""))


# ------------------------------------------------------------------------------------------------ noise
def _hash(ix, iz, seed):
    h = (ix.astype(np.int64) * 374761393 + iz.astype(np.int64) * 668265263 + seed * 1442695041) & 0xFFFFFFFF
    h = ((h ^ (h >> 13)) * 1274126177) & 0xFFFFFFFF
    return ((h ^ (h >> 16)) & 0xFFFFFF) / float(0xFFFFFF)


def vnoise(x, z, seed):
    x, z = np.broadcast_arrays(np.asarray(x, float), np.asarray(z, float))
    ix, iz = np.floor(x), np.floor(z)
    fx, fz = x - ix, z - iz
    fx, fz = fx**3 * (fx * (6 * fx - 15) + 10), fz**3 * (fz * (6 * fz - 15) + 10)
    a, b = _hash(ix, iz, seed), _hash(ix + 1, iz, seed)
    c, d = _hash(ix, iz + 1, seed), _hash(ix + 1, iz + 1, seed)
    return (a + (b - a) * fx) * (1 - fz) + (c + (d - c) * fx) * fz - 0.5


def fbm(x, z, seed, wave, octaves, gain=0.55, spacing=None):
    """Sum of value noises from `wave` metres downwards; octaves finer than the mesh's spacing fade out."""
    s, amp = np.zeros(np.broadcast(x, z).shape), 1.0
    for k in range(octaves):
        fade = 1.0 if spacing is None else np.clip(wave / (2.2 * spacing) - 0.6, 0, 1)
        c, d = math.cos(0.7 * k), math.sin(0.7 * k)               # turned, so that the lattice does not show
        s = s + amp * fade * vnoise((x * c - z * d) / wave + 17.3 * k, (x * d + z * c) / wave + 5.1 * k, seed + 101 * k)
        wave, amp = wave / 2.03, amp * gain
    return s


def smooth(a, b, x):
    t = np.clip((x - a) / (b - a), 0, 1)
    return t * t * (3 - 2 * t)


# ------------------------------------------------------------------------------------------------ materials
def bsdf(mat, colour=None):
    """A material; colour None = the mesh's vertex colours."""
    c = {"type": "mesh_attribute", "name": "vertex_color"} if colour is None else \
        {"type": "rgb", "value": [float(min(max(v, 0.0), 0.95)) for v in colour]}
    two = lambda x: {"type": "twosided", "x": x}
    if mat == "matt":
        return two({"type": "diffuse", "reflectance": c})
    if mat == "leaf":
        return {"type": "principledthin", "base_color": c, "roughness": 0.42, "diff_trans": 0.75, "eta": 1.45}
    if mat == "paper":
        return {"type": "principledthin", "base_color": c, "roughness": 0.75, "diff_trans": 0.42, "eta": 1.3}
    if mat == "cloth":
        return two({"type": "principled", "base_color": c, "roughness": 0.85, "specular": 0.12, "sheen": 0.6, "sheen_tint": 0.6})
    if mat == "wood":
        return two({"type": "principled", "base_color": c, "roughness": 0.62, "specular": 0.3})
    if mat == "leather":
        return two({"type": "principled", "base_color": c, "roughness": 0.38, "specular": 0.45})
    if mat == "metal":
        return two({"type": "principled", "base_color": c, "roughness": 0.36, "metallic": 0.85, "specular": 0.5})
    if mat == "hair":
        return {"type": "principled", "base_color": c, "roughness": 0.33, "specular": 0.5, "anisotropic": 0.0}
    if mat == "ground":
        return two({"type": "principled", "base_color": c, "roughness": {"type": "mesh_attribute", "name": "vertex_rough"},
                    "specular": 0.42})
    raise ValueError(mat)


# ------------------------------------------------------------------------------------------------ geometry
class Geo:
    """Triangles with vertex colours, by material, and fine strands. A piece stands on the origin, looks at -z."""

    def __init__(self):
        self.parts, self.strands = {}, {}
        self.anchors = {}                                    # named points (a hook, a hand)

    def add(self, v, f, c, mat="matt", flat=False):
        p = self.parts.setdefault((mat, flat), ([], [], [], [0]))
        v = np.asarray(v, float).reshape(-1, 3)
        p[0].append(v)
        p[1].append(np.asarray(f, int).reshape(-1, 3) + p[3][0])
        p[2].append(np.array(np.broadcast_to(np.asarray(c, float), v.shape)))
        p[3][0] += len(v)

    def strand(self, pts, rgb, r0, r1=None, mat="matt"):
        """One strand; the radius runs from r0 to r1 (metres)."""
        pts = np.asarray(pts, float)
        r = np.linspace(r0, r0 * 0.35 if r1 is None else r1, len(pts))
        key = (mat, *np.round(np.asarray(rgb, float), 2 if max(rgb) > 0.15 else 3))
        self.strands.setdefault(key, []).append(np.column_stack([pts, r]))

    def mapped(self, fn):
        g = Geo()
        for k, (V, F, C, n) in self.parts.items():
            g.parts[k] = ([fn(v) for v in V], list(F), list(C), list(n))
        for k, S in self.strands.items():
            if S:
                a = fn(np.concatenate([s[:, :3] for s in S]))
                i, out = 0, []
                for s in S:
                    out.append(np.column_stack([a[i:i + len(s)], s[:, 3]])); i += len(s)
                g.strands[k] = out
        g.anchors = {k: fn(np.asarray(v, float)[None])[0] for k, v in self.anchors.items()}
        return g

    def placed(self, mark=(0, 0, 0), turn=0.0, mirrored=False):
        """Turned about y (degrees; its front comes round towards the picture's right), mirrored, moved to the mark and
        there turned to the line of sight, so that the camera sees it as the shot does."""
        rot = lambda a: np.array([[math.cos(a), 0, -math.sin(a)], [0, 1, 0], [math.sin(a), 0, math.cos(a)]])
        R, S = rot(math.radians(turn)), rot(-math.atan2(mark[0], mark[2] or 1.0))
        m = np.array([-1 if mirrored else 1, 1, 1])
        return self.mapped(lambda p: ((p @ R.T) * m) @ S.T + np.asarray(mark, float))

    def points(self):
        a = [v for k in self.parts.values() for v in k[0]] + [s[:, :3] for S in self.strands.values() for s in S]
        return np.concatenate(a)

    def merge(self, other, fn=lambda p: p):
        o = other.mapped(fn)
        for (mat, flat), (V, F, C, n) in o.parts.items():
            self.add(np.concatenate(V), np.concatenate(F), np.concatenate(C), mat, flat)
        for k, s in o.strands.items():
            self.strands.setdefault(k, []).extend(s)
        self.anchors.update(o.anchors)

    def shapes(self, tag):
        """Objects for the renderer."""
        out = {}
        for i, ((mat, flat), (V, F, C, _)) in enumerate(self.parts.items()):
            out[f"{tag}_m{i}"] = to_mesh(np.concatenate(V), np.concatenate(F), np.concatenate(C), mat, not flat)
        for i, (key, S) in enumerate(self.strands.items()):
            fn = os.path.join(TMP, f"{tag}_{i}.txt")
            with open(fn, "w") as f:
                for s in S:
                    if len(s) < 4:
                        u = np.linspace(0, len(s) - 1, 4)
                        s = np.column_stack([np.interp(u, np.arange(len(s)), s[:, k]) for k in range(4)])
                    s = np.vstack([2 * s[0] - s[1], s, 2 * s[-1] - s[-2]])   # so that the spline reaches its ends
                    s[:, 3] = np.maximum(s[:, 3], 1.2e-5)
                    f.write("\n".join("%.6f %.6f %.6f %.7f" % tuple(q) for q in s) + "\n\n")
            out[f"{tag}_s{i}"] = mi.load_dict({"type": "bsplinecurve", "filename": fn, "bsdf": bsdf(key[0], key[1:])})
        return out


def to_mesh(V, F, C, mat="matt", smooth_normals=True, rough=None):
    p = mi.Properties()
    p["b"] = mi.load_dict(bsdf(mat))
    m = mi.Mesh("m", len(V), len(F), has_vertex_normals=smooth_normals, has_vertex_texcoords=False, props=p)
    m.add_attribute("vertex_color", 3, np.ravel(np.clip(C, 0.002, 0.92)).astype(np.float32))
    if rough is not None:
        m.add_attribute("vertex_rough", 1, np.ravel(rough).astype(np.float32))
    q = mi.traverse(m)
    q["vertex_positions"] = np.ravel(V).astype(np.float32)
    q["faces"] = np.ravel(F).astype(np.uint32)
    if smooth_normals:
        a, b, c = V[F[:, 0]], V[F[:, 1]], V[F[:, 2]]
        n = np.cross(b - a, c - a)
        vn = np.stack([sum(np.bincount(F[:, i], n[:, j], len(V)) for i in range(3)) for j in range(3)], 1)
        q["vertex_normals"] = np.ravel(vn / (np.linalg.norm(vn, axis=1, keepdims=True) + 1e-20)).astype(np.float32)
    q.update()
    return m


def grid_faces(n, m, wrap=False):
    """Triangles of an n x m grid of points (row-major); wrap joins the last column to the first."""
    i, j = np.meshgrid(np.arange(n - 1), np.arange(m if wrap else m - 1), indexing="ij")
    a, b = (i * m + j).ravel(), (i * m + (j + 1) % m).ravel()
    return np.concatenate([np.stack([a, a + m, b], 1), np.stack([b, a + m, b + m], 1)])


def frames(P):
    """Side and front vectors along a path (n, 3), turning as little as may be."""
    d = np.gradient(P, axis=0)
    d /= np.linalg.norm(d, axis=1, keepdims=True) + 1e-12
    ref = np.array([0, 0, 1.0]) if abs(d[0, 2]) < 0.9 else np.array([1.0, 0, 0])
    S = np.zeros_like(P)
    s = np.cross(ref, d[0])
    for k in range(len(P)):
        s = s - d[k] * (s @ d[k])
        s /= np.linalg.norm(s) + 1e-12
        S[k] = s
    return d, S, np.cross(d, S)


def tube(g, pts, radii, rgb, sides=10, mat="wood", wob=None, sx=1.0, sz=1.0, cap=True):
    pts = np.asarray(pts, float)
    n = len(pts)
    radii = np.broadcast_to(np.asarray(radii, float), (n,))
    a = np.linspace(0, 2 * np.pi, sides, endpoint=False)
    _, S, U = frames(pts)
    k = np.ones((n, sides)) if wob is None else wob
    v = pts[:, None] + (radii[:, None] * k * sx * np.cos(a))[..., None] * S[:, None] \
        + (radii[:, None] * k * sz * np.sin(a))[..., None] * U[:, None]
    c = np.asarray(rgb, float)
    c = c[:, None] if c.ndim == 2 else c
    c = np.array(np.broadcast_to(c, v.shape)).reshape(-1, 3)
    v, f = v.reshape(-1, 3), grid_faces(n, sides, True)
    if cap:
        j = np.arange(sides); e = (n - 1) * sides
        f = np.concatenate([f, np.stack([j, (j + 1) % sides, np.full(sides, n * sides)], 1),
                            np.stack([e + (j + 1) % sides, e + j, np.full(sides, n * sides + 1)], 1)])
        v, c = np.concatenate([v, pts[:1], pts[-1:]]), np.concatenate([c, c[:1], c[-1:]])
    g.add(v, f, c, mat)


def ellipsoid(g, centre, radii, rgb, mat="matt", n=24):
    t, a = np.linspace(0.001, np.pi - 0.001, n), np.linspace(0, 2 * np.pi, 2 * n, endpoint=False)
    v = np.stack([np.outer(np.sin(t), np.cos(a)), np.outer(-np.cos(t), np.ones(2 * n)), np.outer(np.sin(t), np.sin(a))], -1)
    g.add(np.asarray(centre) + v.reshape(-1, 3) * np.asarray(radii), grid_faces(n, 2 * n, True), rgb, mat)


def ribbons(g, P, width, side, rgb, fold=0.18, mat="leaf"):
    """Many leaves at once: P (B, n, 3) middle lines, width (B, n), side (B, n, 3) across, rgb (B, n, 3)."""
    B, n = P.shape[:2]
    d = np.gradient(P, axis=1)
    d /= np.linalg.norm(d, axis=-1, keepdims=True) + 1e-12
    side = side - d * (side * d).sum(-1, keepdims=True)
    side /= np.linalg.norm(side, axis=-1, keepdims=True) + 1e-9
    up = np.cross(side, d)
    w = width[..., None] / 2
    v = np.stack([P - side * w + up * w * fold, P - up * w * fold, P + side * w + up * w * fold], 2)    # B, n, 3, xyz
    c = np.stack([rgb, rgb * 0.82, rgb], 2)
    f = grid_faces(n, 3)
    f = (f[None] + (np.arange(B) * n * 3)[:, None, None]).reshape(-1, 3)
    g.add(v.reshape(-1, 3), f, c.reshape(-1, 3), mat)


# ------------------------------------------------------------------------------------------------ rendering
class Sky:
    """Radiance by direction from an array (elevation, azimuth, 3): rows go as the square root of the elevation from the
    horizon to the zenith, columns over azimuth -180..180 degrees, 0 = away from the camera, positive to the right."""

    def __init__(self, img):
        self.img = np.asarray(img, np.float32)
        self.tex = mi.Texture2f(mi.TensorXf(self.img), wrap_mode=dr.WrapMode.Clamp)

    @staticmethod
    def from_function(fn, rows=512, cols=2048):
        el = ((np.arange(rows) + 0.5) / rows) ** 2 * np.pi / 2
        az = ((np.arange(cols) + 0.5) / cols - 0.5) * 2 * np.pi
        el, az = np.meshgrid(el, az, indexing="ij")
        d = np.stack([np.cos(el) * np.sin(az), np.sin(el), np.cos(el) * np.cos(az)], -1)
        return Sky(fn(d))

    def dr_eval(self, d):
        el = dr.asin(dr.clip(d.y, 1e-5, 1))
        u = dr.atan2(d.x, d.z) / (2 * math.pi) + 0.5
        r = self.tex.eval(mi.Point2f(u, dr.sqrt(el / (math.pi / 2))))
        return mi.Color3f(r[0], r[1], r[2]) * dr.select(d.y < -0.02, 0.25, 1.0)

    def irradiance(self, normal):
        """Irradiance / pi on a plane of this normal from the sky above the horizon."""
        rows, cols = self.img.shape[:2]
        s = (np.arange(rows) + 0.5) / rows
        el = s**2 * np.pi / 2
        az = ((np.arange(cols) + 0.5) / cols - 0.5) * 2 * np.pi
        d = np.stack(np.broadcast_arrays(np.outer(np.cos(el), np.sin(az)), np.sin(el)[:, None], np.outer(np.cos(el), np.cos(az))), -1)
        dw = (np.cos(el) * s * np.pi / rows * 2 * np.pi / cols)[:, None]
        w = np.clip(d @ np.asarray(normal, float), 0, None) * dw
        return (self.img.astype(float) * w[..., None]).sum((0, 1)) / np.pi


class Tracer(mi.SamplingIntegrator):
    """Path tracer for soft light: the sky (and whatever glows) is met by the scattered rays. The air: haze of an
    even part and a part that thins out with height, lit with the colour of the sky low down in that direction."""

    def __init__(self, props):
        super().__init__(props)
        self.sky, self.depth, self.even, self.low, self.low_h = None, 5, 0.0, 0.0, 1.0
        self.air, self.air_mix, self.clamp, self.bank = (0, 0, 0), 1.0, 0.0, (0.0, 1e-3)
        self.alpha_only = False

    @dr.syntax
    def sample(self, scene, sampler, ray_, medium=None, active=True):
        if dr.hint(self.alpha_only, mode="scalar"):
            return mi.Color3f(0), scene.ray_intersect_preliminary(mi.Ray3f(ray_), coherent=True, active=mi.Mask(active)).is_valid(), []
        ray = mi.Ray3f(ray_)
        L, beta = mi.Color3f(0), mi.Color3f(1)
        depth, active = mi.UInt32(0), mi.Mask(active)
        seen = mi.Mask(False)
        ctx = mi.BSDFContext()
        while active:
            si = scene.ray_intersect(ray, active)
            hit = active & si.is_valid()
            add = mi.Color3f(0)
            if dr.hint(self.even + self.low > 0, mode="scalar"):
                t = dr.select(hit, si.t, 1e5)
                dy = dr.select(dr.abs(ray.d.y) < 1e-4, 1e-4, ray.d.y)
                e = dr.exp(-dr.clip(ray.o.y / self.low_h, -2, 50))
                a = self.low * self.low_h * e * (1 - dr.exp(-dr.clip(dy * t / self.low_h, -20, 60))) / dy
                b = dr.clip((t - self.bank[0]) / (self.bank[1] - self.bank[0]), 0, 1)     # the mist lies beyond the near bank
                tau = dr.select(hit, self.even * t, 0) + dr.clip(a, 0, 50) * b * b * (3 - 2 * b)
                k = dr.exp(-tau)
                low = mi.Vector3f(ray.d.x, 0.018, ray.d.z)
                air = self.sky.dr_eval(dr.normalize(low)) * (1 - self.air_mix) + mi.Color3f(*map(float, self.air)) * self.air_mix
                add += beta * (1 - k) * air
                beta *= k
            add += dr.select(active & ~hit, beta * self.sky.dr_eval(ray.d), 0)
            em = si.emitter(scene, hit)
            add += dr.select(hit, beta * em.eval(si, hit), 0)
            if dr.hint(self.clamp > 0, mode="scalar"):
                add = dr.select(depth > 0, dr.minimum(add, self.clamp), add)
            L += dr.select(active, add, 0)
            seen |= hit & (depth == 0)
            active &= hit
            bs, bw = si.bsdf(ray).sample(ctx, si, sampler.next_1d(active), sampler.next_2d(active), active)
            beta *= bw
            ray = si.spawn_ray(si.to_world(bs.wo))
            depth += 1
            active &= (depth < self.depth) & (dr.max(beta) > 1e-4)
        L = dr.select(dr.isfinite(L), L, 0)
        return L, seen, []


mi.register_integrator("soft_tracer", lambda p: Tracer(p))


def tracer(sky, depth=5, **kw):
    it = mi.load_dict({"type": "soft_tracer"})
    it.sky, it.depth = sky, depth
    for k, v in kw.items():
        setattr(it, k, v)
    return it


def render(scene, it, sensor, spp, seed, batch=16):
    acc, n = 0, max(1, spp // batch)
    for k in range(n):
        acc = acc + np.array(mi.render(scene, integrator=it, sensor=sensor, spp=min(batch, spp), seed=seed * 1000 + k), dtype=np.float32)
    return acc / n


class Stage:
    """The picture's camera: the pinhole model with pitch and roll, and its thin lens."""

    def __init__(self, c, W, H):
        self.c, self.W, self.H = c, W, H
        self.h, self.th, self.ro = c["height_m"], math.radians(c["pitch_deg"]), math.radians(c["roll_deg"])
        self.F = c["focal_mm"] / c["sensor_width_mm"] * W
        self.f, self.N, self.s = c["focal_mm"] / 1000, c["f_number"], c["focus_distance_m"]

    def project(self, x, y, z):
        Y = y - self.h
        d = z * math.cos(self.th) - Y * math.sin(self.th)
        du, dv = self.F * x / d, -self.F * (Y * math.cos(self.th) + z * math.sin(self.th)) / d
        c, s = math.cos(self.ro), math.sin(self.ro)
        return self.W / 2 + du * c + dv * s, self.H / 2 - du * s + dv * c, d

    def blur(self, d):
        """Diameter of the blur disc in pixels at axial depth d."""
        return self.f**2 / self.N / (self.s - self.f) * abs(d - self.s) / d * self.W / (self.c["sensor_width_mm"] / 1000)

    def unproject(self, u, v, z):
        """The point at distance z (along the ground) that shows at pixel (u, v); no roll."""
        a, b = (u - self.W / 2) / self.F, (v - self.H / 2) / self.F
        dy, dz = -b * math.cos(self.th) - math.sin(self.th), -b * math.sin(self.th) + math.cos(self.th)
        return a * z / dz, self.h + dy * z / dz, z


def sensor(c, F, film, crop=None, position=None, lens=True):
    th, ro = math.radians(c.get("pitch_deg", 0)), math.radians(c.get("roll_deg", 0))
    f, u0, r = np.array([0, -math.sin(th), math.cos(th)]), np.array([0, math.cos(th), math.sin(th)]), np.array([1.0, 0, 0])
    u = u0 * math.cos(ro) + r * math.sin(ro)
    o = np.array(position if position is not None else [0, c["height_m"], 0], float)
    d = {"type": "perspective", "fov": 2 * math.degrees(math.atan(film[0] / 2 / F)), "fov_axis": "x", "near_clip": 0.02, "far_clip": 1e5,
         "to_world": T().look_at(origin=list(o), target=list(o + f), up=list(u)) @ T().scale([-1, 1, 1]),
         "film": {"type": "hdrfilm", "width": film[0], "height": film[1], "rfilter": {"type": "box"}, "pixel_format": "rgb" if crop is None else "rgba",
                  "component_format": "float32"},
         "sampler": {"type": "multijitter"}}
    if crop is not None:
        d["film"].update(crop_offset_x=crop[0], crop_offset_y=crop[1], crop_width=crop[2], crop_height=crop[3])
    if lens:
        fm, s = c["focal_mm"] / 1000, c["focus_distance_m"]
        d.update(type="thinlens", aperture_radius=0.5 * fm / c["f_number"] * s / (s - fm), focus_distance=s)
    return mi.load_dict(d)


def grey_readings(base, it, places, normal, albedo=0.18, size=0.06, spp=16384):
    """What a small grey card reads at each place, as the value of a perfect white diffuser (RGB)."""
    d, n = dict(base), np.asarray(normal, float)
    for i, p in enumerate(places):
        d[f"grey{i}"] = {"type": "rectangle", "to_world": T().look_at(origin=list(map(float, p)), target=list(map(float, np.array(p) + n)), up=[0, 1, 0.001]) @ T().scale(size / 2),
                         "bsdf": {"type": "twosided", "x": {"type": "diffuse", "reflectance": {"type": "rgb", "value": albedo}}}}
    sc = mi.load_dict(d)
    o = np.repeat(np.asarray(places, float) + 0.02 * n, spp, 0).astype(np.float32)
    smp = mi.load_dict({"type": "independent"})
    smp.seed(1, len(o))
    ray = mi.Ray3f(mi.Point3f(*[mi.Float(np.ascontiguousarray(o[:, k])) for k in range(3)]), mi.Vector3f(*map(float, -n)))
    L = it.sample(sc, smp, ray, None, mi.Mask(True))[0]
    return np.array(L).reshape(3, len(places), spp).mean(2).T / albedo
