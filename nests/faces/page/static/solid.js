// The holder in three dimensions: inked edges, flat faces, cut open through the axis with the nearer
// half lifted off, the workpiece shown through. One small WebGL program; nothing moves unless a hand moves it.

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

// x, y, z and name of every corner of every face, then of both ends of every edge
function corners(head, content, from) {
  let at = from;
  const next = (Kind, count) => { const found = new Kind(content, at, count); at += 4 * count; return found; };
  const points = next(Float32Array, 3 * head.points);
  const of = [[3, head.faces], [2, head.edges]].map(([each, count]) => [each, next(Uint32Array, each * count), next(Uint32Array, count)]);
  const out = new Float32Array(4 * (3 * head.faces + 2 * head.edges));
  let to = 0;
  for (const [each, numbers, names] of of) {
    for (let k = 0; k < numbers.length; k += 1) {
      const point = 3 * numbers[k];
      out[to] = points[point];
      out[to + 1] = points[point + 1];
      out[to + 2] = points[point + 2];
      out[to + 3] = names[(k / each) | 0];
      to += 4;
    }
  }
  return out;
}

export class Solid {
  constructor(place) {
    this.place = place;
    place.innerHTML = `<section aria-labelledby="solid-title"><header><h2 id="solid-title">Holder</h2>
      <label><input type="checkbox" id="cut-open" checked> cut open</label> <label><input type="checkbox" id="ghosts" checked> workpiece</label></header>
      <canvas tabindex="0" role="img" aria-label="The holder in three dimensions; arrow keys turn it"></canvas><p class="quiet" id="solid-says"></p></section>`;
    this.canvas = place.querySelector("canvas");
    this.turn = [-0.5, 0.92];
    this.sets = {};
    this.wanted = new Set();
    this.gl = this.canvas.getContext("webgl2", { antialias: false, alpha: true, premultipliedAlpha: false });
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
    const told = gl.getExtension("WEBGL_debug_renderer_info"), by = gl.getParameter(told?.UNMASKED_RENDERER_WEBGL ?? gl.RENDERER);
    this.coarse = /swiftshader|llvmpipe|software/i.test(by) ? 0.6 : 1;
    gl.bindAttribLocation(program, 0, "corner");
    gl.linkProgram(program);
    gl.useProgram(program);
    this.at = (name) => gl.getUniformLocation(program, name);
    gl.enableVertexAttribArray(0);
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

  // the triangles that an answer brings; until then nothing is painted for what is lit
  async expect(asked) {
    this.coming = (this.coming ?? 0) + 1;
    try { return await (await asked).arrayBuffer(); }
    finally { this.coming -= 1; }
  }

  async load(address) {
    this.take(address, await this.expect(fetch(address, { cache: "no-store" })));
  }

  take(address, content) {
    const gl = this.gl;
    if (!gl) return;
    if (!content.byteLength) { delete this.sets[address]; this.draw(); return; }
    const long = new DataView(content).getUint32(0, true);
    const head = JSON.parse(new TextDecoder().decode(new Uint8Array(content, 4, long)));
    const old = this.sets[address], set = { ...head, buffer: old?.buffer ?? gl.createBuffer(), known: new Float32Array(96), lit: new Float32Array(96) };
    head.kinds.forEach((kind, k) => { if (k < 96) set.known[k] = KINDS[kind]; });
    gl.bindBuffer(gl.ARRAY_BUFFER, set.buffer);
    gl.bufferData(gl.ARRAY_BUFFER, corners(head, content, 4 + long), gl.STATIC_DRAW);
    this.sets[address] = set;
    if (address === "/scene") {
      this.middle = head.low.map((low, k) => (low + head.high[k]) / 2);
      this.size = Math.hypot(...head.low.map((low, k) => head.high[k] - low)) / 2;
      // what lay in the old shape is old; painting it takes half of a frame where no card draws
      if (this.coarse < 1 && this.sets["/laid"]) this.sets["/laid"].old = true;
    }
    this.paint();
  }

  // Lit names may come and go within a frame, as where the plan is drawn anew under the focus: it is
  // painted only if others are lit in the end, and not while another shape is on its way.
  light(names) {
    this.wanted = new Set(names);
    requestAnimationFrame(() => {
      const changed = Object.values(this.sets).some((set) => this.lit(set).some((each, k) => each !== set.lit[k]));
      if (changed && !this.coming) this.draw();
    });
  }

  lit(set) {
    return Float32Array.from(set.known, (_, k) => (this.wanted.has(set.names[k]) ? 1 : 0));
  }

  draw() {
    const gl = this.gl;
    if (!gl || this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => { this.waiting = false; this.paint(); });
  }

  // the hand moves: nothing finer is painted meanwhile, which would hold up what comes
  stir() {
    clearTimeout(this.resting);
  }

  rest() {
    this.stir();
    this.resting = setTimeout(() => this.paint(2), 1200);
  }

  // at once as coarse as the screen is, coarser where no graphics card draws, and finer when the
  // hand rests
  paint(fine = this.coarse) {
    this.stir();
    if (fine === this.coarse) this.rest();
    const gl = this.gl, box = this.canvas.getBoundingClientRect(), dense = Math.min(devicePixelRatio || 1, 2) * fine;
    if (!box.width) return;
    const pixels = [box.width, box.height].map((each) => Math.max(1, Math.round(each * dense)));
    if (this.canvas.width !== pixels[0] || this.canvas.height !== pixels[1]) [this.canvas.width, this.canvas.height] = pixels;
    gl.viewport(0, 0, this.canvas.width, this.canvas.height);
    gl.clearColor(0, 0, 0, 0);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    if (!this.sets["/scene"]) return;
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
    const sets = Object.values(this.sets).filter((set) => !set.old);
    for (const set of sets) set.lit = this.lit(set);
    const show = (ghosts, lines) => {
      gl.uniform1i(this.at("ghosts"), ghosts);
      gl.uniform1i(this.at("lines"), lines);
      for (const set of sets) {
        gl.bindBuffer(gl.ARRAY_BUFFER, set.buffer);
        gl.vertexAttribPointer(0, 4, gl.FLOAT, false, 16, 0);
        gl.uniform1fv(this.at("kinds"), set.known);
        gl.uniform1fv(this.at("lit"), set.lit);
        const all = lines ? 2 * set.edges : 3 * set.faces, firm = lines ? 2 * set.firm_edges : 3 * set.firm, from = lines ? 3 * set.faces : 0;
        if (ghosts) gl.drawArrays(lines ? gl.LINES : gl.TRIANGLES, from + firm, all - firm);
        else gl.drawArrays(lines ? gl.LINES : gl.TRIANGLES, from, firm);
      }
    };
    gl.disable(gl.BLEND);
    show(0, 0);
    gl.enable(gl.BLEND);
    show(0, 1);
    if (!this.place.querySelector("#ghosts").checked) return;
    gl.depthMask(false);
    show(1, 0);
    show(1, 1);
    gl.depthMask(true);
  }
}
