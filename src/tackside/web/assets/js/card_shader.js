// The way of a picture's numbers through a card, in the browser's graphics: one lookup of the picture and one of a
// table for each pixel of the screen, which software alone draws fast enough too. The tables are made for it
// (jobs/proof_tables.py), and the card's colours come out as the server's device link has them, to the screen's own step.

export const NODES = 49;

const VERTEX = `#version 300 es
uniform vec4 view; // where the canvas's lower left and upper right corners lie in the picture, 0 to 1
out vec2 spot;
void main() {
  vec2 at = vec2((gl_VertexID << 1) & 2, gl_VertexID & 2);
  gl_Position = vec4(at * 2.0 - 1.0, 0.0, 1.0);
  spot = mix(view.xy, view.zw, at);
}`;

// Where a number lies among the nodes: every third up to 48 of 255, then 32 equal steps.
const HEAD = `#version 300 es
precision highp float;
precision highp sampler3D;
uniform sampler2D picture;
in vec2 spot;
out vec4 seen;
vec3 place(vec3 rgb) { return min(rgb * (85.0 / 49.0) + 0.5 / 49.0, rgb * (255.0 * 32.0 / 207.0 / 49.0) + (16.5 - 48.0 * 32.0 / 207.0) / 49.0); }`;

const LIGHT = `${HEAD}
uniform sampler3D table;
void main() { seen = texture(table, place(texture(picture, spot).rgb)); }`;

// A map: the picture in pale greys, and on it one colour that deepens; `share` of the map's full size, 0 to 1.
const MAP = `${HEAD}
uniform vec3 pale, middle, deep;
SIZE
void main() {
  vec3 code = texture(picture, spot).rgb;
  float share = clamp(size(code), 0.0, 1.0), light = dot(code, vec3(0.2126, 0.7152, 0.0722));
  vec3 colour = share < 0.5 ? mix(pale, middle, share * 2.0) : mix(middle, deep, share * 2.0 - 1.0);
  seen = vec4(mix(vec3(mix(0.58, 0.95, light)), clamp(colour + 0.14 * (light - 0.5), 0.0, 1.0), min(share * 6.0, 1.0)), 1.0);
}`;
const BY_COLOUR = MAP.replace("SIZE", "uniform sampler3D table; uniform vec2 part;\nfloat size(vec3 code) { return dot(texture(table, place(code)).rg, part); }");
const BY_PLACE = MAP.replace("SIZE", "uniform sampler2D found;\nfloat size(vec3 code) { return texture(found, spot).r; }");

const PICTURE = 0, TABLE = 1, FOUND = 2, LOADING = 3; // texture units

function compiled(gl, kind, text) {
  const shader = gl.createShader(kind);
  gl.shaderSource(shader, text);
  gl.compileShader(shader);
  if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(shader));
  return shader;
}

// One program with the places of all its uniforms.
function program(gl, fragment) {
  const made = gl.createProgram();
  gl.attachShader(made, compiled(gl, gl.VERTEX_SHADER, VERTEX));
  gl.attachShader(made, compiled(gl, gl.FRAGMENT_SHADER, fragment));
  gl.linkProgram(made);
  if (!gl.getProgramParameter(made, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(made));
  gl.useProgram(made);
  const spots = {};
  for (const name of ["view", "picture", "table", "found", "part", "pale", "middle", "deep"]) spots[name] = gl.getUniformLocation(made, name);
  gl.uniform1i(spots.picture, PICTURE);
  gl.uniform1i(spots.table, TABLE);
  gl.uniform1i(spots.found, FOUND);
  return { made, spots };
}

export class CardShader {
  // Throws where the canvas draws no WebGL 2.
  constructor(canvas) {
    const gl = canvas.getContext("webgl2", { alpha: false, antialias: false, depth: false, stencil: false });
    if (!gl) throw new Error("no WebGL 2");
    this.gl = gl;
    this.light = program(gl, LIGHT);
    this.byColour = program(gl, BY_COLOUR);
    this.byPlace = program(gl, BY_PLACE);
    gl.enable(gl.SCISSOR_TEST);
    gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
    gl.pixelStorei(gl.UNPACK_COLORSPACE_CONVERSION_WEBGL, gl.NONE);
  }

  load(bitmap) {
    const gl = this.gl;
    const texture = gl.createTexture();
    gl.activeTexture(gl.TEXTURE0 + PICTURE);
    gl.bindTexture(gl.TEXTURE_2D, texture);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA8, gl.RGBA, gl.UNSIGNED_BYTE, bitmap);
    gl.generateMipmap(gl.TEXTURE_2D);
    this.size = [bitmap.width, bitmap.height];
  }

  // A texture that is read between its values, from `data`; `kind` is "light", "sizes" or "found".
  table(data, kind) {
    const gl = this.gl, texture = gl.createTexture(), target = kind === "found" ? gl.TEXTURE_2D : gl.TEXTURE_3D;
    gl.activeTexture(gl.TEXTURE0 + LOADING);
    gl.bindTexture(target, texture);
    if (kind === "light") gl.texImage3D(target, 0, gl.RGB10_A2, NODES, NODES, NODES, 0, gl.RGBA, gl.UNSIGNED_INT_2_10_10_10_REV, data);
    else if (kind === "sizes") gl.texImage3D(target, 0, gl.RG8, NODES, NODES, NODES, 0, gl.RG, gl.UNSIGNED_BYTE, data);
    else gl.texImage2D(target, 0, gl.R8, gl.RED, gl.UNSIGNED_BYTE, data);
    for (const filter of [gl.TEXTURE_MIN_FILTER, gl.TEXTURE_MAG_FILTER]) gl.texParameteri(target, filter, gl.LINEAR);
    for (const axis of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T, gl.TEXTURE_WRAP_R]) gl.texParameteri(target, axis, gl.CLAMP_TO_EDGE);
    return texture;
  }

  // The picture's reduction that lies next to the screen's steps; seen near, its pixels as they are.
  reduce(step) {
    const gl = this.gl, level = Math.max(0, Math.round(Math.log2(step) - 0.25)), filter = step > 1 ? gl.LINEAR : gl.NEAREST;
    gl.activeTexture(gl.TEXTURE0 + PICTURE);
    if (this.reduced === `${level} ${filter}`) return;
    this.reduced = `${level} ${filter}`;
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_BASE_LEVEL, level);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MAX_LEVEL, level);
    for (const name of [gl.TEXTURE_MIN_FILTER, gl.TEXTURE_MAG_FILTER]) gl.texParameteri(gl.TEXTURE_2D, name, filter);
    for (const axis of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T]) gl.texParameteri(gl.TEXTURE_2D, axis, gl.CLAMP_TO_EDGE);
  }

  // `shown`: view, surround, coarse, and parts of the canvas from left to right: left, right, shift (where the
  // picture's own left lies), and light (a table), or a map: sizes with part, or found, and its scale.
  draw(shown) {
    const gl = this.gl, coarse = shown.coarse || 1;
    const width = Math.ceil(gl.canvas.width / coarse), height = Math.ceil(gl.canvas.height / coarse);
    const { x, y } = shown.view, step = shown.view.step * coarse;
    if (coarse > 1) this.aside(width, height);
    gl.viewport(0, 0, width, height);
    gl.scissor(0, 0, width, height);
    gl.clearColor(...shown.surround, 1);
    gl.clear(gl.COLOR_BUFFER_BIT);
    this.reduce(step);
    for (const part of shown.parts) this.part(part, { x, y, step, width, height, coarse });
    if (coarse === 1) return;
    gl.bindFramebuffer(gl.READ_FRAMEBUFFER, this.buffer);
    gl.bindFramebuffer(gl.DRAW_FRAMEBUFFER, null);
    gl.scissor(0, 0, gl.canvas.width, gl.canvas.height);
    gl.blitFramebuffer(0, 0, width, height, 0, gl.canvas.height - height * coarse, width * coarse, gl.canvas.height, gl.COLOR_BUFFER_BIT, gl.NEAREST);
    gl.bindFramebuffer(gl.FRAMEBUFFER, null);
  }

  // Only pixels whose middle lies on the picture are drawn: the rest is surround already.
  part(part, { x, y, step, width, height, coarse }) {
    const gl = this.gl, [w, h] = this.size, shift = part.shift / coarse, middle = (at) => Math.ceil(at - 0.5);
    const left = Math.max(middle(part.left / coarse), middle(shift - x / step)), right = Math.min(middle(part.right / coarse), middle(shift + (w - x) / step));
    const top = Math.max(0, middle(-y / step)), bottom = Math.min(height, middle((h - y) / step));
    if (left >= right || top >= bottom) return;
    gl.scissor(left, height - bottom, right - left, bottom - top);
    const { made, spots } = part.light ? this.light : part.sizes ? this.byColour : this.byPlace;
    gl.useProgram(made);
    gl.uniform4f(spots.view, (x - shift * step) / w, (y + height * step) / h, (x + (width - shift) * step) / w, y / h);
    gl.activeTexture(gl.TEXTURE0 + (part.found ? FOUND : TABLE));
    gl.bindTexture(part.found ? gl.TEXTURE_2D : gl.TEXTURE_3D, part.light || part.sizes || part.found);
    if (part.sizes) gl.uniform2f(spots.part, ...part.part);
    if (part.scale) ["pale", "middle", "deep"].forEach((name, n) => gl.uniform3f(spots[name], ...part.scale[n]));
    gl.drawArrays(gl.TRIANGLES, 0, 3);
  }

  // Draw into a smaller picture first.
  aside(width, height) {
    const gl = this.gl;
    this.buffer ||= gl.createFramebuffer();
    this.small ||= gl.createRenderbuffer();
    gl.bindRenderbuffer(gl.RENDERBUFFER, this.small);
    if (this.smallSize !== `${width} ${height}`) gl.renderbufferStorage(gl.RENDERBUFFER, gl.RGBA8, width, height);
    this.smallSize = `${width} ${height}`;
    gl.bindFramebuffer(gl.FRAMEBUFFER, this.buffer);
    gl.framebufferRenderbuffer(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0, gl.RENDERBUFFER, this.small);
  }
}
