// Solids of colours in CIELAB, drawn: surfaces in their own colours, wireframes, a cut at one lightness, points, axes.
// The view is the one of the server's drawings: turned about L*, seen from above by some degrees, a* to the right and
// b* away at first. A little perspective tells near from far.

const AWAY = 520; // of the eye from the middle of the lightness axis, CIELAB units
const DEEP = 330; // how far before and behind the middle anything is drawn
const WIRE = 4; // every so many lines of a surface's grid make the wireframe
const PLACE = 0; // where every program takes a vertex' place from
const MANY = 20; // nodes along a surface's grid, from which on it is drawn thinned while it moves

// CIELAB (D50) to the screen: CIE 15:2004, 8.2.1, then XYZ to linear sRGB, then IEC 61966-2-1. Clipped at its ends.
const SHARED = `#version 300 es
precision highp float;
uniform mat4 seen;
uniform vec2 lens;          // across and up
uniform vec3 white;
uniform mat3 matrix;
vec4 stand(vec3 lab) {
  vec3 at = (seen * vec4(lab, 1.0)).xyz;
  float w = ${AWAY}.0 - at.z, n = ${AWAY - DEEP}.0, f = ${AWAY + DEEP}.0;
  return vec4(at.xy * lens, (w * (f + n) - 2.0 * f * n) / (f - n), w);
}
vec3 screen(vec3 lab) {
  float y = (lab.x + 16.0) / 116.0;
  vec3 f = vec3(y + lab.y / 500.0, y, y - lab.z / 200.0);
  vec3 xyz = mix((116.0 * f - 16.0) * 27.0 / 24389.0, f * f * f, step(6.0 / 29.0, f)) * white;
  vec3 light = clamp(matrix * xyz, 0.0, 1.0);
  return mix(12.92 * light, 1.055 * pow(light, vec3(1.0 / 2.4)) - 0.055, step(0.0031308, light));
}`;

const SURFACE = [`${SHARED}
invariant gl_Position;      // so that it falls on itself where it is drawn twice, by whichever program
in vec3 place;
uniform float size;
uniform int nodes;
out vec3 lab;
out vec2 spot;
void main() {
  lab = place * size;
  int k = gl_VertexID % (nodes * nodes);
  spot = vec2(k / nodes, k % nodes) / float(nodes - 1);
  gl_Position = stand(lab);
}`, `${SHARED}
in vec3 lab;
in vec2 spot;
uniform float cut, cover;
out vec4 seenAs;
// Fine lines of equal numbers give the surface its form and leave its colours alone.
float line(float steps, float wide) {
  vec2 at = spot * steps, far = abs(at - round(at)) / max(fwidth(at), 1e-5);
  return 1.0 - smoothstep(wide - 0.5, wide + 0.5, min(far.x, far.y));
}
void main() {
  if (lab.x > cut) discard;
  vec3 own = screen(lab);
  float dark = step(0.5, dot(own, vec3(0.2126, 0.7152, 0.0722)));
  vec3 ink = mix(own + 0.22, own * 0.72, dark);
  seenAs = vec4(mix(own, ink, max(line(8.0, 0.5) * 0.6, line(1.0, 1.0))), cover);
}`];

// How far the nearest surface is, and nothing more.
const NEAREST = [`${SHARED}
invariant gl_Position;
in vec3 place;
uniform float size;
out float level;
void main() {
  level = place.x * size;
  gl_Position = stand(place * size);
}`, `#version 300 es
precision highp float;
in float level;
uniform float cut;
out vec4 seenAs;
void main() {
  if (level > cut) discard;
  seenAs = vec4(0.0);
}`];

// A line as a strip that faces the eye; \`from\` and \`to\` are its ends.
const LINE = [`${SHARED}
in vec3 from, to;
uniform float size, wide;   // wide: half the line, in pixels
uniform vec2 pixels;
out vec3 lab;
out float side;
void main() {
  int corner = gl_VertexID & 3;
  bool second = corner > 1;
  float way = (corner & 1) == 1 ? 1.0 : -1.0;
  vec4 a = stand(from * size), b = stand(to * size);
  vec2 along = (b.xy / b.w - a.xy / a.w) * pixels;
  vec2 across = length(along) > 1e-6 ? normalize(vec2(-along.y, along.x)) : vec2(0.0);
  vec4 here = second ? b : a;
  lab = (second ? to : from) * size;
  side = way * (wide + 0.7);
  gl_Position = vec4(here.xy + across * side * 2.0 / pixels * here.w, here.z - 0.0004 * here.w, here.w);
}`, `${SHARED}
in vec3 lab;
in float side;
uniform float cut, wide;
uniform vec4 ink;
out vec4 seenAs;
void main() {
  if (lab.x > cut) discard;
  seenAs = vec4(ink.rgb, ink.a * clamp(wide + 0.5 - abs(side), 0.0, 1.0));
}`];

const POINTS = [`${SHARED}
in vec3 place;
in vec2 told;               // outside or not, and its size
uniform float size, dense, only;
out vec3 own;
out float ring;
out float across;
void main() {
  vec3 lab = place * size;
  ring = told.x;
  gl_Position = stand(lab);
  if (only > told.x) gl_Position = vec4(2.0, 2.0, 2.0, 1.0);
  own = screen(lab);
  across = dense * (2.5 + 7.0 * told.y / 255.0 + 1.5 * ring) * ${AWAY}.0 / gl_Position.w;
  gl_PointSize = across;
}`, `${SHARED}
in vec3 own;
in float ring, across;
out vec4 seenAs;
void main() {
  float far = length(gl_PointCoord - 0.5) * across, edge = across / 2.0;
  if (far > edge) discard;
  float rim = max(0.7, across * 0.12);
  vec3 light = vec3(step(dot(own, vec3(0.2126, 0.7152, 0.0722)), 0.5));
  seenAs = vec4(ring > 0.5 ? (far > edge - rim ? vec3(0.0) : far > edge - 2.0 * rim ? vec3(1.0) : own)
    : far > edge - rim * 0.7 ? mix(own, light, 0.45) : own, 1.0);
}`];

// The plane of one lightness: what lies inside the solid in its own colours.
const CAP = [`${SHARED}
uniform float cut;
uniform vec4 reach;         // from a*, b* to a*, b*
out vec3 lab;
void main() {
  lab = vec3(cut, mix(reach.x, reach.z, float(gl_VertexID & 1)), mix(reach.y, reach.w, float(gl_VertexID >> 1)));
  gl_Position = stand(lab);
}`, `${SHARED}
precision highp sampler3D;
in vec3 lab;
uniform sampler3D inside;
uniform vec3 start, count;
uniform float pitch;
out vec4 seenAs;
void main() {
  vec3 at = (lab / pitch - start + 0.5) / count;
  float held = smoothstep(0.3, 0.6, texture(inside, at.zyx).r);
  if (held < 0.02 || any(lessThan(at, vec3(0.0))) || any(greaterThan(at, vec3(1.0)))) discard;
  seenAs = vec4(screen(lab), held);
}`];

function program(gl, texts) {
  const made = gl.createProgram();
  [gl.VERTEX_SHADER, gl.FRAGMENT_SHADER].forEach((kind, n) => {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, texts[n]);
    gl.compileShader(shader);
    if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(shader));
    gl.attachShader(made, shader);
  });
  gl.bindAttribLocation(made, PLACE, "place"); // one array of a surface serves two programs
  gl.linkProgram(made);
  if (!gl.getProgramParameter(made, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(made));
  const spots = new Map();
  const spot = (name) => { if (!spots.has(name)) spots.set(name, gl.getUniformLocation(made, name)); return spots.get(name); };
  return { use: () => gl.useProgram(made), spot, at: (name) => gl.getAttribLocation(made, name) };
}

// Eight to a byte, each row filled up to whole bytes.
function unpacked([l, a, b], bits) {
  const row = Math.ceil(b / 8), filled = new Uint8Array(l * a * b);
  for (let line = 0, at = 0; line < l * a; line += 1) {
    for (let k = 0; k < b; k += 1, at += 1) if ((bits[line * row + (k >> 3)] >> (k & 7)) & 1) filled[at] = 255;
  }
  return filled;
}

// Every other node of a surface's grid: a quarter of its triangles, for while it moves.
function thinned(faces, nodes) {
  const square = nodes * nodes, found = new Set(), order = [];
  for (let n = 0; n < faces.length; n += 3) {
    const corners = [0, 1, 2].map((k) => faces[n + k]), side = Math.floor(corners[0] / square) * square;
    const even = (parts) => Math.min(...parts) & ~1;
    const at = side + even(corners.map((k) => Math.floor((k % square) / nodes))) * nodes + even(corners.map((k) => k % square % nodes));
    if (found.has(at)) continue;
    found.add(at);
    order.push(at, at + 2, at + 2 * nodes, at + 2 * nodes, at + 2, at + 2 * nodes + 2);
  }
  return Uint16Array.from(order);
}

// The edges of a surface's grid that make its wireframe, ends in turn: of two corners in one row or column, so many
// nodes apart.
function wires(faces, nodes, apart) {
  const found = new Set(), ends = [];
  for (let n = 0; n < faces.length; n += 3) {
    for (const [a, b] of [[0, 1], [1, 2], [2, 0]]) {
      const low = Math.min(faces[n + a], faces[n + b]), high = Math.max(faces[n + a], faces[n + b]), step = high - low;
      const k = low % (nodes * nodes), across = step === apart, line = across ? Math.floor(k / nodes) : step === apart * nodes ? k % nodes : -1;
      const every = nodes > MANY ? WIRE : 2;
      if (line < 0 || line % every || found.has(low * 2 + across)) continue;
      found.add(low * 2 + across);
      ends.push(low, high);
    }
  }
  return ends;
}

export class GamutScene {
  // Throws where the canvas draws no WebGL 2.
  constructor(canvas, data) {
    const gl = canvas.getContext("webgl2", { alpha: false, antialias: true });
    if (!gl) throw new Error("no WebGL 2");
    this.gl = gl;
    this.data = data;
    this.programs = { surface: program(gl, SURFACE), nearest: program(gl, NEAREST), line: program(gl, LINE), points: program(gl, POINTS), cap: program(gl, CAP) };
    this.solids = [];
    this.reach = REACH;
    this.axes = this.lines(axes());
    gl.enable(gl.DEPTH_TEST);
    gl.depthFunc(gl.LEQUAL);
    gl.blendFuncSeparate(gl.SRC_ALPHA, gl.ONE_MINUS_SRC_ALPHA, gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
  }

  buffer(kind, values) {
    const gl = this.gl, made = gl.createBuffer();
    gl.bindVertexArray(null);
    gl.bindBuffer(kind, made);
    gl.bufferData(kind, values, gl.STATIC_DRAW);
    return made;
  }

  // A surface as the server packs it, and what lies inside, as bits.
  solid(told, bytes, bits) {
    const count = told.vertices * 3, { nodes } = told;
    const places = new Int16Array(bytes, 0, count), faces = new Uint16Array(bytes, count * 2, told.triangles * 3);
    const held = this.buffer(this.gl.ARRAY_BUFFER, places);
    const whole = this.mesh(held, places, faces, nodes, 1);
    const thin = nodes > MANY && nodes % 2 ? this.mesh(held, places, thinned(faces, nodes), nodes, 2) : whole;
    for (let k = 0; k < count; k += 3) this.reach = Math.max(this.reach, Math.hypot(places[k + 1], places[k + 2]) * this.data.step);
    const filled = unpacked(told.lattice.size, new Uint8Array(bits));
    this.solids.push({ told, places, faces, whole, thin, filled, inside: this.lattice(told.lattice.size, filled) });
  }

  // Triangles over a surface's nodes, and the wireframe of those, whose ends are so many nodes apart.
  mesh(held, places, faces, nodes, apart) {
    const gl = this.gl, array = gl.createVertexArray(), order = this.buffer(gl.ELEMENT_ARRAY_BUFFER, faces);
    gl.bindVertexArray(array);
    gl.bindBuffer(gl.ARRAY_BUFFER, held);
    gl.enableVertexAttribArray(PLACE);
    gl.vertexAttribPointer(PLACE, 3, gl.SHORT, false, 0, 0);
    gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, order);
    gl.bindVertexArray(null);
    const ends = wires(faces, nodes, apart).flatMap((k) => [places[3 * k], places[3 * k + 1], places[3 * k + 2]]);
    return { array, count: faces.length, wire: this.lines(Int16Array.from(ends)) };
  }

  lattice([l, a, b], filled) {
    const gl = this.gl;
    const texture = gl.createTexture();
    gl.bindTexture(gl.TEXTURE_3D, texture);
    gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
    gl.texImage3D(gl.TEXTURE_3D, 0, gl.R8, b, a, l, 0, gl.RED, gl.UNSIGNED_BYTE, filled);
    for (const filter of [gl.TEXTURE_MIN_FILTER, gl.TEXTURE_MAG_FILTER]) gl.texParameteri(gl.TEXTURE_3D, filter, gl.LINEAR);
    for (const axis of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T, gl.TEXTURE_WRAP_R]) gl.texParameteri(gl.TEXTURE_3D, axis, gl.CLAMP_TO_EDGE);
    return texture;
  }

  // Lines from pairs of places, six numbers each; 16-bit numbers are in the server's steps, others as they are. Each
  // stands four times, for the corners of its strip: a renderer without a graphics card is slow at drawing instances.
  lines(ends) {
    const gl = this.gl, array = gl.createVertexArray(), whole = ends instanceof Int16Array, count = ends.length / 6;
    const corners = new ends.constructor(4 * ends.length), order = new Uint32Array(6 * count);
    for (let n = 0; n < count; n += 1) {
      for (let corner = 0; corner < 4; corner += 1) corners.set(ends.subarray(6 * n, 6 * n + 6), 6 * (4 * n + corner));
      order.set([0, 1, 2, 2, 1, 3].map((corner) => 4 * n + corner), 6 * n);
    }
    const held = [this.buffer(gl.ARRAY_BUFFER, corners), this.buffer(gl.ELEMENT_ARRAY_BUFFER, order)];
    gl.bindVertexArray(array);
    gl.bindBuffer(gl.ARRAY_BUFFER, held[0]);
    gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, held[1]);
    const kind = whole ? gl.SHORT : gl.FLOAT, bytes = whole ? 2 : 4;
    ["from", "to"].forEach((name, n) => {
      const at = this.programs.line.at(name);
      gl.enableVertexAttribArray(at);
      gl.vertexAttribPointer(at, 3, kind, false, 6 * bytes, n * 3 * bytes);
    });
    gl.bindVertexArray(null);
    return { array, held, count, size: whole ? this.data.step : 1 };
  }

  points(bytes) {
    const gl = this.gl, array = gl.createVertexArray(), held = this.buffer(gl.ARRAY_BUFFER, bytes);
    gl.bindVertexArray(array);
    gl.bindBuffer(gl.ARRAY_BUFFER, held);
    const told = this.programs.points.at("told");
    gl.enableVertexAttribArray(PLACE);
    gl.vertexAttribPointer(PLACE, 3, gl.SHORT, false, 8, 0);
    gl.enableVertexAttribArray(told);
    gl.vertexAttribPointer(told, 2, gl.UNSIGNED_BYTE, false, 8, 6);
    gl.bindVertexArray(null);
    this.cloud = { array, count: bytes.byteLength / 8 };
  }

  begin(name, view) {
    const gl = this.gl, made = this.programs[name];
    made.use();
    gl.uniformMatrix4fv(made.spot("seen"), false, matrixOf(view));
    gl.uniform2f(made.spot("lens"), ...this.lens(view));
    gl.uniform3f(made.spot("white"), ...this.data.white);
    gl.uniformMatrix3fv(made.spot("matrix"), false, this.data.matrix);
    gl.uniform1f(made.spot("size"), this.data.step);
    gl.uniform1f(made.spot("cut"), view.cut);
    return made;
  }

  lens(view) {
    const { width, height } = this.gl.canvas, wide = 2 * this.reach + 36;
    // The lower it is looked at, the less of the floor stands in the way of the lightness axis.
    const tall = Math.abs(Math.sin(view.rise)) * wide + Math.cos(view.rise) * 112 + 12;
    const scale = 2 * view.zoom * AWAY * Math.min(width / wide, height / tall);
    return [scale / width, scale / height];
  }

  // `view`: turn, rise (radians), zoom, cut, glass, dense, thin (while it moves); `shown`: ink and surround (0 to 1), points.
  draw(view, shown) {
    const gl = this.gl;
    gl.viewport(0, 0, gl.canvas.width, gl.canvas.height);
    gl.clearColor(...shown.surround, 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    const [one, other] = this.solids;
    const glass = view.glass ? 0.34 : 1;
    if (!view.glass) this.surface(one, view, 1);
    this.line(this.axes, view, shown.ink, 0.42, 0.55, 1e9);
    if (view.cut < 100) {
      this.cap(one, view);
      this.line(this.ring(one, view.cut), view, shown.ink, 0.5, 0.3, 1e9);
      if (other) this.line(this.ring(other, view.cut), view, shown.ink, 1, 1, 1e9);
    }
    if (other) this.line(this.meshOf(other, view).wire, view, shown.ink, 0.7, 0.55, view.cut);
    if (this.cloud && shown.points !== "none") this.scatter(view, shown.points === "outside" ? 0.5 : -1);
    if (view.glass) { // the nearest surface alone, laid over what lies behind it
      gl.colorMask(false, false, false, false);
      this.begin("nearest", view);
      this.triangles(this.meshOf(one, view));
      gl.colorMask(true, true, true, true);
      this.surface(one, view, glass);
    }
  }

  surface(solid, view, cover) {
    const gl = this.gl, made = this.begin("surface", view);
    gl.uniform1i(made.spot("nodes"), solid.told.nodes);
    gl.uniform1f(made.spot("cover"), cover);
    if (cover < 1) gl.enable(gl.BLEND);
    this.triangles(this.meshOf(solid, view));
    gl.disable(gl.BLEND);
  }

  meshOf(solid, view) { return view.thin ? solid.thin : solid.whole; }

  triangles({ array, count }) {
    const gl = this.gl;
    gl.bindVertexArray(array);
    gl.drawElements(gl.TRIANGLES, count, gl.UNSIGNED_SHORT, 0);
  }

  line(lines, view, ink, alpha, wide, cut) {
    const gl = this.gl, made = this.begin("line", view);
    gl.uniform1f(made.spot("size"), lines.size);
    gl.uniform1f(made.spot("cut"), cut);
    gl.uniform2f(made.spot("pixels"), gl.canvas.width, gl.canvas.height);
    gl.uniform1f(made.spot("wide"), wide * view.dense);
    gl.uniform4f(made.spot("ink"), ...ink, alpha);
    gl.enable(gl.BLEND);
    gl.bindVertexArray(lines.array);
    gl.drawElements(gl.TRIANGLES, 6 * lines.count, gl.UNSIGNED_INT, 0);
    gl.disable(gl.BLEND);
  }

  scatter(view, only) {
    const gl = this.gl, made = this.begin("points", view);
    gl.uniform1f(made.spot("dense"), view.dense);
    gl.uniform1f(made.spot("only"), only);
    gl.bindVertexArray(this.cloud.array);
    gl.drawArrays(gl.POINTS, 0, this.cloud.count);
  }

  cap(solid, view) {
    const gl = this.gl, made = this.begin("cap", view), { origin, size, pitch } = solid.told.lattice;
    const [a, b, aEnd, bEnd] = [origin[1], origin[2], origin[1] + size[1], origin[2] + size[2]].map((each) => each * pitch);
    gl.uniform4f(made.spot("reach"), a, b, aEnd, bEnd);
    gl.activeTexture(gl.TEXTURE0);
    gl.bindTexture(gl.TEXTURE_3D, solid.inside);
    gl.uniform1i(made.spot("inside"), 0);
    gl.uniform3f(made.spot("start"), ...origin);
    gl.uniform3f(made.spot("count"), ...size);
    gl.uniform1f(made.spot("pitch"), pitch);
    gl.enable(gl.BLEND);
    gl.bindVertexArray(null);
    gl.drawArrays(gl.TRIANGLE_STRIP, 0, 4);
    gl.disable(gl.BLEND);
  }

  // Where a solid's surface crosses the plane of one lightness.
  ring(solid, level) {
    if (solid.ringAt === level) return solid.ringLines;
    const { places, faces } = solid, step = this.data.step, ends = [];
    for (let n = 0; n < faces.length; n += 3) {
      const crossed = [];
      for (const [i, j] of [[0, 1], [1, 2], [2, 0]]) {
        const p = 3 * faces[n + i], q = 3 * faces[n + j], from = places[p] * step - level, to = places[q] * step - level;
        if (from > 0 === to > 0) continue;
        const share = from / (from - to);
        crossed.push(level, ...[1, 2].map((k) => (places[p + k] + share * (places[q + k] - places[p + k])) * step));
      }
      if (crossed.length === 6) ends.push(...crossed);
    }
    if (solid.ringLines) { solid.ringLines.held.forEach((each) => this.gl.deleteBuffer(each)); this.gl.deleteVertexArray(solid.ringLines.array); }
    solid.ringAt = level;
    solid.ringLines = this.lines(Float32Array.from(ends));
    return solid.ringLines;
  }

  // Where a colour stands on the canvas, in parts of its width and height from the left and the top.
  where(lab, view) {
    const m = matrixOf(view), [across, up] = this.lens(view), at = [0, 1, 2].map((k) => m[k] * lab[0] + m[4 + k] * lab[1] + m[8 + k] * lab[2] + m[12 + k]);
    const w = AWAY - at[2];
    return [(1 + (at[0] * across) / w) / 2, (1 - (at[1] * up) / w) / 2];
  }

  // Whether the solid stands between a place and the eye.
  hidden(lab, { turn, rise, cut }) {
    const { filled, told: { lattice: { origin, size, pitch } } } = this.solids[0];
    const way = [Math.sin(rise), Math.cos(rise) * Math.sin(turn), -Math.cos(rise) * Math.cos(turn)];
    for (let far = 3; far < 300; far += 2) {
      const at = lab.map((each, k) => each + way[k] * far), [l, a, b] = at.map((each, k) => Math.round(each / pitch) - origin[k]);
      if (at[0] > cut || l < 0 || a < 0 || b < 0 || l >= size[0] || a >= size[1] || b >= size[2]) continue;
      if (filled[(l * size[1] + a) * size[2] + b]) return true;
    }
    return false;
  }
}

// From L*, a*, b* to right, up and towards the eye, column by column; the middle of the lightness axis is the middle.
function matrixOf({ turn, rise }) {
  const c = Math.cos(turn), s = Math.sin(turn), ce = Math.cos(rise), se = Math.sin(rise);
  return [0, ce, se, 0, c, -se * s, ce * s, 0, s, se * c, -ce * c, 0, 0, -50 * ce, -50 * se, 1];
}

export const REACH = 110; // of the axes a* and b*

// The lightness axis with a tick at each ten, a* and b* on the floor, and rings of equal chroma around.
function axes() {
  const ends = [[0, 0, 0, 100, 0, 0], [0, -REACH, 0, 0, REACH, 0], [0, 0, -REACH, 0, 0, REACH]];
  for (let level = 0; level <= 100; level += 10) ends.push([level, -2, 0, level, 2, 0], [level, 0, -2, level, 0, 2]);
  for (const chroma of [50, 100]) {
    for (let n = 0; n < 72; n += 1) {
      const [a, b] = [n, n + 1].map((k) => (k * Math.PI) / 36);
      ends.push([0, chroma * Math.cos(a), chroma * Math.sin(a), 0, chroma * Math.cos(b), chroma * Math.sin(b)]);
    }
  }
  return new Float32Array(ends.flat());
}
