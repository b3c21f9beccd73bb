// @ts-nocheck
(function () {
  // What a hand traced, as few points as tell it: rounded between marks, then thinned.
  const apart = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);

  // A closed curve through all points (Catmull and Rom 1974, from memory), as a polyline.
  function rounded(points, pieces) {
    const n = points.length, at = (i) => points[(i + n) % n];
    if (n < 3) return points;
    return points.flatMap((b, i) => {
      const a = at(i - 1), c = at(i + 1), d = at(i + 2);
      return Array.from({ length: pieces }, (_, k) => {
        const t = k / pieces;
        return [0, 1].map((x) => b[x] + t / 2 * (c[x] - a[x] + t * (2 * a[x] - 5 * b[x] + 4 * c[x] - d[x] +
          t * (3 * (b[x] - c[x]) + d[x] - a[x]))));
      });
    });
  }
  function aside(p, a, b) {
    const long = apart(a, b);
    if (!long) return apart(p, a);
    return Math.abs((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])) / long;
  }
  // Points farther than ``stray`` from the chord stay (Ramer 1972; Douglas and Peucker 1973).
  function thinned(points, stray) {
    const stays = new Uint8Array(points.length), open = [[0, points.length - 1]];
    stays[0] = stays[points.length - 1] = 1;
    while (open.length) {
      const [from, to] = open.pop();
      let far = stray, at = 0;
      for (let i = from + 1; i < to; i++) {
        const off = aside(points[i], points[from], points[to]);
        if (off > far) { far = off; at = i; }
      }
      if (at) { stays[at] = 1; open.push([from, at], [at, to]); }
    }
    return points.filter((_, i) => stays[i]);
  }
  // A ring of at most ``most`` points that strays as little from the traced one as that allows.
  function few(ring, stray, most) {
    const closed = [...ring, ring[0]];
    for (let allowed = stray; ; allowed *= 1.5) {
      const kept = thinned(closed, allowed).slice(0, -1);
      if (kept.length <= most) return kept;
    }
  }
  window.quiltpath.tracing = { rounded, thinned, few };
})();
