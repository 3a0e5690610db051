// The holder in three dimensions: inked edges, flat faces, cut open along the hour of the section,
// the workpiece shown through. One small WebGL program; nothing moves unless a hand moves it.

const FACES = `#version 300 es
in vec4 corner; uniform mat4 turn; out vec3 at; flat out float who;
void main() { at = corner.xyz; who = corner.w; gl_Position = turn * vec4(corner.xyz, 1.0); }`;
const PAINT = `#version 300 es
precision highp float;
in vec3 at; flat in float who; out vec4 ink;
uniform vec3 eye; uniform vec4 plane; uniform float kinds[96]; uniform float lit[96]; uniform bool ghosts; uniform bool lines;
void main() {
  int k = int(who + 0.5);
  float kind = kinds[min(k, 95)];
  bool ghost = kind > 2.5;
  if (ghost != ghosts) discard;
  if (!ghost && dot(plane.xyz, at) > plane.w && kind < 1.5) discard;
  vec3 n = normalize(cross(dFdx(at), dFdy(at)));
  float facing = abs(dot(n, eye));
  vec3 paper = kind < 0.5 ? vec3(0.93, 0.915, 0.875) : kind < 1.5 ? vec3(0.80, 0.66, 0.36) : kind < 2.5 ? vec3(0.66, 0.16, 0.29) : vec3(0.30, 0.42, 0.58);
  if (lit[min(k, 95)] > 0.5) paper = vec3(0.96, 0.62, 0.30);
  if (lines) { ink = vec4(ghost ? vec3(0.25, 0.36, 0.5) : vec3(0.12, 0.165, 0.2), ghost ? 0.22 : 0.85); return; }
  if (ghost) { ink = vec4(paper, lit[min(k, 95)] > 0.5 ? 0.5 : 0.10 + 0.12 * (1.0 - facing)); return; }
  if (!gl_FrontFacing && kind < 0.5) {
    float stripe = step(0.5, fract((gl_FragCoord.x + gl_FragCoord.y) / 7.0));
    ink = vec4(mix(vec3(0.99, 0.975, 0.94), lit[min(k, 95)] > 0.5 ? vec3(0.85, 0.4, 0.1) : vec3(0.55, 0.58, 0.6), stripe * 0.55), 1.0);
    return;
  }
  ink = vec4(paper * (0.62 + 0.38 * facing), 1.0);
}`;
const KINDS = { holder: 0, metal: 1, jewel: 2, workpiece: 3 };

export class Solid {
  constructor(place) {
    this.place = place;
    place.innerHTML = `<section aria-labelledby="solid-title"><header><h2 id="solid-title">Holder</h2>
      <label><input type="checkbox" id="cut-open" checked> cut open</label> <label><input type="checkbox" id="ghosts" checked> workpiece</label></header>
      <canvas tabindex="0" role="img" aria-label="The holder in three dimensions; arrow keys turn it"></canvas><p class="quiet" id="solid-says"></p></section>`;
    this.canvas = place.querySelector("canvas");
    this.turn = [-0.5, 0.92];
    this.lit = new Float32Array(96);
    this.plane = [0, 0, 0, 1e6];
    this.names = [];
    this.gl = this.canvas.getContext("webgl2", { antialias: true, alpha: true, premultipliedAlpha: false });
    if (!this.gl) { place.querySelector("#solid-says").textContent = "This browser draws no solids; plan and cut show the holder."; return; }
    this.ready();
    this.hands();
  }

  ready() {
    const gl = this.gl, program = gl.createProgram();
    for (const [kind, text] of [[gl.VERTEX_SHADER, FACES], [gl.FRAGMENT_SHADER, PAINT]]) {
      const shader = gl.createShader(kind);
      gl.shaderSource(shader, text);
      gl.compileShader(shader);
      if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(shader));
      gl.attachShader(program, shader);
    }
    gl.bindAttribLocation(program, 0, "corner");
    gl.linkProgram(program);
    gl.useProgram(program);
    this.at = (name) => gl.getUniformLocation(program, name);
    this.buffer = gl.createBuffer();
    gl.bindBuffer(gl.ARRAY_BUFFER, this.buffer);
    gl.enableVertexAttribArray(0);
    gl.vertexAttribPointer(0, 4, gl.FLOAT, false, 16, 0);
    gl.enable(gl.DEPTH_TEST);
    gl.blendFuncSeparate(gl.SRC_ALPHA, gl.ONE_MINUS_SRC_ALPHA, gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
    gl.enable(gl.POLYGON_OFFSET_FILL);
    gl.polygonOffset(1, 1);
    new ResizeObserver(() => this.draw()).observe(this.canvas);
  }

  hands() {
    const redraw = () => this.draw();
    this.place.addEventListener("change", redraw);
    this.canvas.addEventListener("pointerdown", (event) => {
      this.canvas.setPointerCapture(event.pointerId);
      this.held = [event.clientX, event.clientY];
    });
    this.canvas.addEventListener("pointermove", (event) => {
      if (!this.held) return;
      this.turn = [this.turn[0] + (event.clientX - this.held[0]) * 0.008, this.turn[1] + (event.clientY - this.held[1]) * 0.008];
      this.held = [event.clientX, event.clientY];
      this.draw();
    });
    this.canvas.addEventListener("pointerup", () => { this.held = null; });
    this.canvas.addEventListener("keydown", (event) => {
      const step = { ArrowLeft: [-0.1, 0], ArrowRight: [0.1, 0], ArrowUp: [0, -0.1], ArrowDown: [0, 0.1] }[event.key];
      if (!step) return;
      event.preventDefault();
      this.turn = [this.turn[0] + step[0], this.turn[1] + step[1]];
      this.draw();
    });
  }

  async load() {
    const content = await (await fetch("/scene", { cache: "no-store" })).arrayBuffer();
    if (!this.gl) return;
    if (!content.byteLength) { this.count = 0; this.draw(); return; }
    const long = new DataView(content).getUint32(0, true);
    const head = JSON.parse(new TextDecoder().decode(new Uint8Array(content, 4, long)));
    this.names = head.names;
    this.count = head.corners;
    this.ends = head.ends;
    const kinds = new Float32Array(96);
    head.kinds.forEach((kind, k) => { if (k < 96) kinds[k] = KINDS[kind]; });
    this.middle = head.low.map((low, k) => (low + head.high[k]) / 2);
    this.size = Math.hypot(...head.low.map((low, k) => head.high[k] - low)) / 2;
    this.gl.bufferData(this.gl.ARRAY_BUFFER, new Float32Array(content, 4 + long), this.gl.STATIC_DRAW);
    this.gl.uniform1fv(this.at("kinds"), kinds);
    this.draw();
  }

  light(names) {
    const wanted = new Set(names);
    this.names.forEach((name, k) => { if (k < 96) this.lit[k] = wanted.has(name) ? 1 : 0; });
    this.draw();
  }

  cutAt() { this.draw(); }

  draw() {
    const gl = this.gl;
    if (!gl || this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => { this.waiting = false; this.paint(); });
  }

  paint() {
    const gl = this.gl, box = this.canvas.getBoundingClientRect(), dense = Math.min(devicePixelRatio || 1, 2);
    this.canvas.width = Math.max(1, box.width * dense);
    this.canvas.height = Math.max(1, box.height * dense);
    gl.viewport(0, 0, this.canvas.width, this.canvas.height);
    gl.clearColor(0, 0, 0, 0);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    if (!this.count) return;
    const [a, b] = this.turn = [this.turn[0], Math.max(0.05, Math.min(Math.PI - 0.05, this.turn[1]))];
    const right = [Math.cos(a), Math.sin(a), 0];
    const eye = [Math.sin(a) * Math.sin(b), -Math.cos(a) * Math.sin(b), Math.cos(b)];
    const up = [eye[1] * right[2] - eye[2] * right[1], eye[2] * right[0] - eye[0] * right[2], eye[0] * right[1] - eye[1] * right[0]];
    const least = Math.min(box.width, box.height * 1.5);
    const wide = this.size * 0.93 * box.width / least, high = wide * box.height / box.width;
    const row = (v, by) => [v[0] / by, v[1] / by, v[2] / by, -(v[0] * this.middle[0] + v[1] * this.middle[1] + v[2] * this.middle[2]) / by];
    const x = row(right, wide), y = row(up, high), z = row(eye, -this.size * 3);
    gl.uniformMatrix4fv(this.at("turn"), false, [x[0], y[0], z[0], 0, x[1], y[1], z[1], 0, x[2], y[2], z[2], 0, x[3], y[3], z[3], 1]);
    gl.uniform3fv(this.at("eye"), eye);
    const open = this.place.querySelector("#cut-open").checked;
    // the half that is nearer is lifted off, through the axis
    const flat = Math.hypot(eye[0], eye[1]) || 1;
    gl.uniform4fv(this.at("plane"), open ? [eye[0] / flat, eye[1] / flat, 0, 0] : [0, 0, 0, 1e6]);
    gl.uniform1fv(this.at("lit"), this.lit);
    gl.uniform1i(this.at("ghosts"), 0);
    gl.uniform1i(this.at("lines"), 0);
    gl.disable(gl.BLEND);
    gl.drawArrays(gl.TRIANGLES, 0, this.count);
    gl.enable(gl.BLEND);
    gl.uniform1i(this.at("lines"), 1);
    gl.drawArrays(gl.LINES, this.count, this.ends);
    if (!this.place.querySelector("#ghosts").checked) return;
    gl.uniform1i(this.at("ghosts"), 1);
    gl.uniform1i(this.at("lines"), 0);
    gl.depthMask(false);
    gl.drawArrays(gl.TRIANGLES, 0, this.count);
    gl.uniform1i(this.at("lines"), 1);
    gl.drawArrays(gl.LINES, this.count, this.ends);
    gl.depthMask(true);
  }
}
