// The way of a picture's numbers through a card, as the server's device link goes it: the same nodes, along the same
// tetrahedra that share the grey axis. What is worked out for a pixel of the screen is its colour in print.

export const NODES = 49;

const VERTEX = `#version 300 es
void main() { vec2 at = vec2((gl_VertexID << 1) & 2, gl_VertexID & 2); gl_Position = vec4(at * 2.0 - 1.0, 0.0, 1.0); }`;

const FRAGMENT = `#version 300 es
precision highp float;
precision highp sampler3D;
uniform sampler2D picture;
uniform sampler3D print, original, maps;
uniform vec4 view;          // left, top, and pixels of the picture for each of the screen, across and down
uniform vec2 size;          // the picture's, in pixels
uniform float height;       // the canvas's
uniform float divide;       // left of it the original stands, in pixels of the screen
uniform float shift;        // how far the print's half is moved right, in pixels of the screen
uniform float level;        // of the picture's reductions
uniform int map;            // 0 none, 1 how far colours move, 2 what the card cannot hold
uniform float full;
uniform vec3 pale, middle, deep;
uniform vec3 surround;
out vec4 seen;

// Where an 8-bit number lies among the nodes: every third up to 48, then 32 steps to 255, rounded.
vec3 place(vec3 code) {
  const float STEP = 207.0 / 32.0;
  vec3 k = clamp(floor((code - 48.0) / STEP), 0.0, 31.0);
  vec3 low = floor(48.0 + STEP * k + 0.5);
  k -= vec3(lessThan(code, low)) * step(0.5, k);
  vec3 next = floor(48.0 + STEP * (k + 1.0) + 0.5);
  k = min(k + vec3(greaterThanEqual(code, next)), 31.0);
  low = floor(48.0 + STEP * k + 0.5);
  vec3 high = floor(48.0 + STEP * (k + 1.0) + 0.5);
  return mix(16.0 + k + (code - low) / (high - low), code / 3.0, vec3(lessThan(code, vec3(48.0))));
}

struct Corners { ivec3 at, one, two; vec4 share; };

Corners corners(vec3 code) {
  vec3 p = place(code);
  ivec3 n = min(ivec3(p), ivec3(${NODES - 2}));
  vec3 f = p - vec3(n);
  vec3 g = step(f.yzx, f.xyz), l = 1.0 - g;
  float top = max(f.x, max(f.y, f.z)), low = min(f.x, min(f.y, f.z)), mid = f.x + f.y + f.z - top - low;
  return Corners(n, n + ivec3(min(g.xyz, l.zxy)), n + ivec3(max(g.xyz, l.zxy)), vec4(1.0 - top, top - mid, mid - low, low));
}

vec3 at(sampler3D table, Corners c) {
  return c.share.x * texelFetch(table, c.at, 0).rgb + c.share.y * texelFetch(table, c.one, 0).rgb
    + c.share.z * texelFetch(table, c.two, 0).rgb + c.share.w * texelFetch(table, c.at + 1, 0).rgb;
}

void main() {
  vec2 spot = vec2(gl_FragCoord.x, height - gl_FragCoord.y);
  bool own = spot.x < divide;
  if (!own) spot.x -= shift;
  vec2 p = view.xy + spot * view.zw;
  if (p.x < 0.0 || p.y < 0.0 || p.x >= size.x || p.y >= size.y) { seen = vec4(surround, 1.0); return; }
  vec3 code = textureLod(picture, p / size, level).rgb * 255.0;
  Corners c = corners(code);
  if (own) { seen = vec4(at(original, c), 1.0); return; }
  if (map == 0) { seen = vec4(at(print, c), 1.0); return; }
  vec3 sizes = at(maps, c) * 25.5;
  float share = clamp((map == 1 ? sizes.r : sizes.g) / full, 0.0, 1.0);
  float light = dot(code / 255.0, vec3(0.2126, 0.7152, 0.0722));
  vec3 colour = share < 0.5 ? mix(pale, middle, share * 2.0) : mix(middle, deep, share * 2.0 - 1.0);
  seen = vec4(mix(vec3(mix(0.58, 0.95, light)), clamp(colour + 0.14 * (light - 0.5), 0.0, 1.0), min(share * 6.0, 1.0)), 1.0);
}`;

// A half float of IEEE 754-2019 (binary16) that is not negative.
const WIDE = Float32Array.from({ length: 0x7c00 }, (_, bits) => {
  const exponent = bits >> 10, rest = bits & 0x3ff;
  return exponent ? 2 ** (exponent - 15) * (1 + rest / 1024) : 2 ** -14 * (rest / 1024);
});
const widened = (bits) => WIDE[bits];

function compiled(gl, kind, text) {
  const shader = gl.createShader(kind);
  gl.shaderSource(shader, text);
  gl.compileShader(shader);
  if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(shader));
  return shader;
}

export class CardShader {
  // Throws where the canvas draws no WebGL 2.
  constructor(canvas) {
    const gl = canvas.getContext("webgl2", { alpha: false, antialias: false, depth: false, stencil: false });
    if (!gl) throw new Error("no WebGL 2");
    this.gl = gl;
    const program = gl.createProgram();
    gl.attachShader(program, compiled(gl, gl.VERTEX_SHADER, VERTEX));
    gl.attachShader(program, compiled(gl, gl.FRAGMENT_SHADER, FRAGMENT));
    gl.linkProgram(program);
    if (!gl.getProgramParameter(program, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(program));
    gl.useProgram(program);
    this.spot = (name) => gl.getUniformLocation(program, name);
    ["picture", "print", "original", "maps"].forEach((name, unit) => gl.uniform1i(this.spot(name), unit));
  }

  picture(bitmap) {
    const gl = this.gl;
    gl.activeTexture(gl.TEXTURE0);
    gl.bindTexture(gl.TEXTURE_2D, gl.createTexture());
    gl.pixelStorei(gl.UNPACK_COLORSPACE_CONVERSION_WEBGL, gl.NONE);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA8, gl.RGBA, gl.UNSIGNED_BYTE, bitmap);
    gl.generateMipmap(gl.TEXTURE_2D);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.LINEAR_MIPMAP_NEAREST);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MAG_FILTER, gl.NEAREST);
    for (const axis of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T]) gl.texParameteri(gl.TEXTURE_2D, axis, gl.CLAMP_TO_EDGE);
    this.size = [bitmap.width, bitmap.height];
    gl.uniform2f(this.spot("size"), ...this.size);
  }

  // A table as a texture; `kind` "light" (half floats, widened: software reads them faster) or "sizes" (two bytes).
  table(data, kind) {
    const gl = this.gl;
    const texture = gl.createTexture();
    gl.activeTexture(gl.TEXTURE4);
    gl.bindTexture(gl.TEXTURE_3D, texture);
    gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
    if (kind === "light") gl.texImage3D(gl.TEXTURE_3D, 0, gl.RGB32F, NODES, NODES, NODES, 0, gl.RGB, gl.FLOAT, Float32Array.from(data, widened));
    else gl.texImage3D(gl.TEXTURE_3D, 0, gl.RG8, NODES, NODES, NODES, 0, gl.RG, gl.UNSIGNED_BYTE, data);
    for (const filter of [gl.TEXTURE_MIN_FILTER, gl.TEXTURE_MAG_FILTER]) gl.texParameteri(gl.TEXTURE_3D, filter, gl.NEAREST);
    return texture;
  }

  // `shown`: print, original, maps (textures); view, divide, shift, map, full, scale, surround.
  draw(shown) {
    const gl = this.gl;
    [shown.print, shown.original, shown.maps].forEach((texture, unit) => {
      gl.activeTexture(gl.TEXTURE1 + unit);
      gl.bindTexture(gl.TEXTURE_3D, texture);
    });
    const coarse = shown.coarse || 1;
    const width = Math.ceil(gl.canvas.width / coarse), height = Math.ceil(gl.canvas.height / coarse);
    const { x, y } = shown.view, step = shown.view.step * coarse;
    if (coarse > 1) this.aside(width, height);
    gl.viewport(0, 0, width, height);
    gl.uniform4f(this.spot("view"), x, y, step, step);
    gl.uniform1f(this.spot("height"), height);
    gl.uniform1f(this.spot("level"), Math.max(0, Math.round(Math.log2(step) - 0.25)));
    gl.uniform1f(this.spot("divide"), shown.divide / coarse);
    gl.uniform1f(this.spot("shift"), shown.shift / coarse);
    gl.uniform1i(this.spot("map"), shown.map);
    gl.uniform1f(this.spot("full"), shown.full);
    ["pale", "middle", "deep"].forEach((name, n) => gl.uniform3f(this.spot(name), ...shown.scale[n]));
    gl.uniform3f(this.spot("surround"), ...shown.surround);
    gl.drawArrays(gl.TRIANGLES, 0, 3);
    if (coarse === 1) return;
    gl.bindFramebuffer(gl.READ_FRAMEBUFFER, this.buffer);
    gl.bindFramebuffer(gl.DRAW_FRAMEBUFFER, null);
    gl.blitFramebuffer(0, 0, width, height, 0, gl.canvas.height - height * coarse, width * coarse, gl.canvas.height, gl.COLOR_BUFFER_BIT, gl.NEAREST);
    gl.bindFramebuffer(gl.FRAMEBUFFER, null);
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

  // Wait until all that was asked for is drawn.
  finish() { this.gl.readPixels(0, 0, 1, 1, this.gl.RGBA, this.gl.UNSIGNED_BYTE, new Uint8Array(4)); }
}
