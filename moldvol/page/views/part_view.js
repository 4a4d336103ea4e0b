// The part on a canvas: orbit by mouse, finger and arrow keys, a cutting plane with a filled cut, see-through skin.
// Draws only when something has moved, so that an idle page leaves the machine alone.
import * as library from "nicegui-scene";

const { GLTFLoader, OrbitControls, THREE } = library.default ?? library;

const FIELD_OF_VIEW = 18; // degrees: little enough that the size bar nearly holds for what is nearer, too
const FIRST_LOOK = new THREE.Vector3(0.55, -1, 0.4);
const SIDES = { front: [0, -1, 0.001], right: [1, 0, 0.001], top: [0, -0.001, 1] };
const KEY_TURN = 0.15; // radians
// What stays when a plane cuts: the far half from the front, the left from the right side, the lower from above.
const CUTS = { front: ["y", 1], right: ["x", -1], top: ["z", -1] };
const TAP_PIXELS = 6; // a pointer that moves less than this has pointed, not turned
const MM_PER_INCH = 25.4;
const BAR_PIXELS = 110; // the size bar is at most so long
const AXIS_PIXELS = 24;

export default {
  template: `
    <div>
      <canvas ref="canvas" :class="{ aiming: picking }" tabindex="0" role="img" :aria-label="label" v-show="!failed"></canvas>
      <svg v-if="axes.length" class="axes" viewBox="-36 -36 72 72" aria-hidden="true">
        <g v-for="axis in axes" :key="axis.name">
          <line :x2="axis.x" :y2="axis.y"></line>
          <text :x="1.35 * axis.x" :y="1.35 * axis.y">{{ axis.name }}</text>
        </g>
      </svg>
      <div v-if="bar.words" class="size-bar" aria-hidden="true">
        <span :style="{ width: bar.pixels + 'px' }"></span>{{ bar.words }}
      </div>
      <div v-if="picking && !failed" class="aim" aria-hidden="true"></div>
      <div v-if="failed" class="no-3d">
        <img v-if="sides" :src="sides" :alt="label">
        <p>This browser shows no 3D (WebGL is off). All figures are complete without it.</p>
      </div>
    </div>`,

  props: {
    url: String, // GLB of the part
    core: String, // GLB of the hollow, if there is one
    paint: String, // "wall", "depth" or "plain"
    cut: String, // "", "front", "right" or "top"
    share: Number, // how far the plane has come through the part
    glass: Boolean, // skin see-through
    upright: Boolean, // y is up
    picking: Boolean,
    inches: Boolean, // the size bar is in inches
    marks: Array, // [{at: [x, y, z], radius, kind: "thin", "thick" or "enter"}]
    label: String,
    sides: String,
  },
  emits: ["picked", "leave", "without3d"],
  data: () => ({ failed: false, axes: [], bar: { pixels: 0, words: "" } }),

  mounted() {
    try {
      this.setUp();
    } catch (reason) {
      this.failed = true;
      this.$emit("without3d");
      return;
    }
    this.load("part", this.url);
    this.load("core", this.core);
    this.$watch("url", (url) => this.load("part", url));
    this.$watch("core", (url) => this.load("core", url));
    this.$watch("upright", () => (this.place(), this.fit()));
    this.$watch("inches", () => this.draw());
    this.$watch("picking", (picking) => picking && this.$refs.canvas.focus({ preventScroll: true }));
    this.$watch(() => [this.paint, this.cut, this.share, this.glass, this.marks], () => this.dress(), { deep: true });
  },

  beforeUnmount() {
    if (this.failed) return;
    this.watcher.disconnect();
    this.scheme.removeEventListener("change", this.onScheme);
    this.controls.dispose();
    this.renderer.dispose();
  },

  methods: {
    setUp() {
      const canvas = this.$refs.canvas;
      // The drawing is kept so that the page can be printed with it.
      const renderer = new THREE.WebGLRenderer({ canvas, antialias: true, alpha: true, stencil: true, preserveDrawingBuffer: true });
      renderer.setPixelRatio(Math.min(window.devicePixelRatio, 2));
      renderer.localClippingEnabled = true;
      const camera = new THREE.PerspectiveCamera(FIELD_OF_VIEW, 1, 0.1, 1000);
      camera.up.set(0, 0, 1);
      const scene = new THREE.Scene();
      scene.add(camera, new THREE.HemisphereLight(0xffffff, 0x8a8a8a, 2.2));
      const lamp = new THREE.DirectionalLight(0xffffff, 1.5);
      lamp.position.set(-0.6, 0.9, 1); // from the upper left of whoever looks
      camera.add(lamp);
      // Vue must not watch any of this: it is too much and too deep.
      Object.assign(this, { renderer, camera, scene, plane: new THREE.Plane(), due: false });
      this.things = new THREE.Group();
      scene.add(this.things);
      this.loader = new GLTFLoader();
      this.loaded = { part: null, core: null };
      this.controls = new OrbitControls(camera, canvas);
      this.controls.addEventListener("change", () => this.draw());
      this.watcher = new ResizeObserver(() => this.resize());
      this.watcher.observe(this.$el);
      this.scheme = window.matchMedia("(prefers-color-scheme: dark)");
      this.onScheme = () => this.dress();
      this.scheme.addEventListener("change", this.onScheme);
      canvas.addEventListener("keydown", (event) => this.onKey(event));
      canvas.addEventListener("pointerdown", (event) => (this.pressed = [event.clientX, event.clientY]));
      canvas.addEventListener("pointerup", (event) => this.onRelease(event));
      this.resize();
    },

    async load(kind, url) {
      const ticket = (this[kind + "Ticket"] = (this[kind + "Ticket"] || 0) + 1);
      const model = url ? await this.loader.loadAsync(url).catch(() => null) : null;
      if (ticket !== this[kind + "Ticket"]) return; // a newer one was asked for meanwhile
      const first = kind === "part" && !this.loaded.part;
      const before = this.loaded[kind] && kind === "part" ? this.loaded.part.size : null;
      this.loaded[kind] = model && this.parted(model.scene);
      this.build();
      if (kind === "part" && model && (first || !before || before.distanceTo(this.loaded.part.size) > 1e-3)) this.fit();
    },

    parted(model) {
      const found = { skin: null, rims: null, size: new THREE.Vector3() };
      model.traverse((thing) => {
        if (thing.isLineSegments) found.rims = thing.geometry;
        else if (thing.isMesh) found.skin = thing.geometry;
      });
      found.skin.computeBoundingBox();
      found.skin.boundingBox.getSize(found.size);
      if (found.skin.index.count > 15000) found.skin.computeVertexNormals(); // few facets are shown as facets
      found.wall = found.skin.getAttribute("color");
      found.depth = found.skin.getAttribute("color_1");
      return found;
    },

    // ---- what is in the scene

    build() {
      this.things.clear();
      this.skins = [];
      const { part, core } = this.loaded;
      if (part) this.addBody(part, "material");
      if (core && part) this.addBody(core, "air");
      if (part) this.addFill();
      if (part && part.rims) {
        const lines = new THREE.LineSegments(part.rims, new THREE.LineBasicMaterial({ depthTest: false, fog: false }));
        lines.renderOrder = 20;
        lines.name = "rims";
        this.things.add(lines);
      }
      this.marked = new THREE.Group();
      this.things.add(this.marked);
      this.place();
      this.dress();
    },

    // A body is its skin and two counters. Along a line of sight that meets the plane within a body, one more of its back
    // faces than of its front faces is left behind the plane: the stencil counts them, those of the hollow the other way
    // round. What is not nought then is cut material.
    addBody(body, kind) {
      const flat = !body.skin.getAttribute("normal");
      const skin = new THREE.Mesh(
        body.skin,
        new THREE.MeshLambertMaterial({ side: THREE.DoubleSide, flatShading: flat }),
      );
      skin.renderOrder = 10;
      skin.name = kind;
      this.skins.push(skin);
      const [inner, outer] = kind === "air" ? [THREE.FrontSide, THREE.BackSide] : [THREE.BackSide, THREE.FrontSide];
      const counters = [
        [inner, THREE.IncrementWrapStencilOp],
        [outer, THREE.DecrementWrapStencilOp],
      ].map(([side, tally]) => {
        const material = new THREE.MeshBasicMaterial({
          side, depthWrite: false, depthTest: false, colorWrite: false,
          stencilWrite: true, stencilFunc: THREE.AlwaysStencilFunc,
          stencilFail: tally, stencilZFail: tally, stencilZPass: tally,
        });
        const counter = new THREE.Mesh(body.skin, material);
        counter.renderOrder = 1;
        counter.name = "counter";
        return counter;
      });
      this.things.add(skin, ...counters);
    },

    addFill() {
      if (this.fill) this.scene.remove(this.fill);
      this.fill = new THREE.Mesh(
        new THREE.PlaneGeometry(1, 1),
        new THREE.MeshBasicMaterial({
          side: THREE.DoubleSide, stencilWrite: true, stencilRef: 0, stencilFunc: THREE.NotEqualStencilFunc,
          stencilFail: THREE.ReplaceStencilOp, stencilZFail: THREE.ReplaceStencilOp, stencilZPass: THREE.ReplaceStencilOp,
        }),
      );
      this.fill.renderOrder = 2;
      this.fill.onAfterRender = (renderer) => renderer.clearStencil();
      this.scene.add(this.fill);
    },

    place() {
      this.things.rotation.x = this.upright ? Math.PI / 2 : 0;
      this.things.updateMatrixWorld(true);
      if (this.loaded.part) {
        this.box = this.loaded.part.skin.boundingBox.clone().applyMatrix4(this.things.matrixWorld);
        this.radius = this.box.getSize(new THREE.Vector3()).length() / 2 || 1;
      }
    },

    dress() {
      if (!this.box) return this.draw();
      const colour = (name) => new THREE.Color(getComputedStyle(this.$el).getPropertyValue(name).trim() || "#888888");
      const planes = this.cut ? [this.setPlane()] : [];
      for (const thing of this.things.children) {
        if (thing.name === "counter") {
          thing.visible = planes.length > 0;
          thing.material.clippingPlanes = planes;
        } else if (thing.name === "material") {
          this.paintSkin(thing, colour("--clay"), planes);
        } else if (thing.name === "air") {
          thing.material.color = colour("--hollow");
          thing.material.side = planes.length ? THREE.BackSide : THREE.FrontSide; // cut open, one looks into it
          thing.material.clippingPlanes = planes;
          thing.visible = planes.length > 0 || this.glass;
        } else if (thing.name === "rims") {
          thing.material.color = colour("--mark");
        }
        if (thing.material) thing.material.needsUpdate = true;
      }
      this.dressFill(planes.length > 0, colour("--cut"));
      this.setMarks(planes, colour);
      this.draw();
    },

    paintSkin(skin, clay, planes) {
      const { part } = this.loaded;
      const painted = this.paint === "depth" ? part.depth || part.wall : this.paint === "wall" ? part.wall : null;
      if (painted) part.skin.setAttribute("color", painted);
      const glass = this.glass && !planes.length;
      skin.material.vertexColors = Boolean(painted);
      skin.material.color = painted ? new THREE.Color(0xffffff) : clay;
      skin.material.transparent = glass;
      skin.material.opacity = glass ? 0.3 : 1;
      skin.material.depthWrite = !glass;
      skin.material.clippingPlanes = planes;
    },

    dressFill(cutting, colour) {
      if (!this.fill) return;
      this.fill.visible = cutting;
      if (!cutting) return;
      this.fill.material.color = colour;
      this.fill.scale.setScalar(4 * this.radius);
      this.plane.coplanarPoint(this.fill.position);
      this.fill.lookAt(this.fill.position.clone().add(this.plane.normal));
    },

    setPlane() {
      const [axis, keep] = CUTS[this.cut];
      const low = this.box.min[axis], high = this.box.max[axis];
      const along = keep > 0 ? this.share : 1 - this.share;
      const at = low + (high - low) * Math.min(Math.max(along, 0.001), 0.999);
      this.plane.normal.set(0, 0, 0)[axis] = keep;
      this.plane.constant = -keep * at;
      return this.plane;
    },

    setMarks(planes, colour) {
      this.marked.clear();
      for (const { at, radius, kind } of this.marks || []) {
        const ball = kind === "thick";
        const material = new THREE.MeshBasicMaterial({
          color: colour(kind === "enter" ? "--enter" : "--mark"), clippingPlanes: planes,
          depthTest: false, transparent: true, opacity: ball ? 0.35 : 0.9,
        });
        const size = ball ? radius : this.radius * 0.018;
        const sphere = new THREE.Mesh(new THREE.SphereGeometry(size, 24, 16), material);
        sphere.position.set(...at);
        sphere.renderOrder = 30;
        this.marked.add(sphere);
      }
    },

    // ---- looking

    draw() {
      if (this.due) return;
      this.due = true;
      requestAnimationFrame(() => {
        this.due = false;
        this.render();
      });
    },

    render() {
      this.renderer.render(this.scene, this.camera);
      if (!this.box) return;
      this.$el.dataset.drawn = Number(this.$el.dataset.drawn || 0) + 1;
      this.measure();
    },

    // The size bar holds at the depth of the middle of the part; the axes are the part's own.
    measure() {
      const { camera, controls, renderer } = this;
      const across = 2 * camera.position.distanceTo(controls.target) * Math.tan((FIELD_OF_VIEW * Math.PI) / 360);
      const unit = this.inches ? MM_PER_INCH : 1;
      const perPixel = across / renderer.domElement.clientHeight / unit;
      const most = BAR_PIXELS * perPixel;
      const ten = 10 ** Math.floor(Math.log10(most));
      const length = [5, 2, 1].find((step) => step * ten <= most) * ten;
      const words = `${Number(length.toPrecision(3))} ${this.inches ? "in" : "mm"}`;
      const pixels = Math.round(length / perPixel);
      if (words !== this.bar.words || pixels !== this.bar.pixels) this.bar = { words, pixels };
      const seen = camera.quaternion.clone().invert().multiply(this.things.quaternion);
      const axes = ["x", "y", "z"].map((name, number) => {
        const end = new THREE.Vector3().setComponent(number, AXIS_PIXELS).applyQuaternion(seen);
        return { name, x: Math.round(10 * end.x) / 10, y: -Math.round(10 * end.y) / 10 };
      });
      if (JSON.stringify(axes) !== JSON.stringify(this.axes)) this.axes = axes;
    },

    resize() {
      const { clientWidth, clientHeight } = this.$el;
      if (!clientWidth || !clientHeight) return;
      this.renderer.setSize(clientWidth, clientHeight, false);
      this.camera.aspect = clientWidth / clientHeight;
      this.camera.updateProjectionMatrix();
      this.render(); // at once: resizing has wiped the canvas
    },

    fit() {
      this.lookFrom(FIRST_LOOK);
    },

    look(side) {
      this.lookFrom(new THREE.Vector3(...SIDES[side]));
    },

    lookFrom(direction) {
      if (this.failed || !this.box) return;
      const half = ((FIELD_OF_VIEW / 2) * Math.PI) / 180;
      const narrow = Math.atan(Math.tan(half) * Math.min(1, this.camera.aspect));
      const distance = (1.02 * this.radius) / Math.sin(narrow);
      this.box.getCenter(this.controls.target);
      this.camera.position.copy(direction).normalize().multiplyScalar(distance).add(this.controls.target);
      this.camera.near = distance / 200;
      this.camera.far = distance * 10;
      this.camera.updateProjectionMatrix();
      this.controls.update();
      this.draw();
    },

    onKey(event) {
      const turns = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
      const zooms = { "+": 0.9, "=": 0.9, "-": 1.1 };
      const offset = this.camera.position.clone().sub(this.controls.target);
      if (turns[event.key]) {
        const [sideways, upward] = turns[event.key];
        const axis = new THREE.Vector3(0, 0, 1).cross(offset).normalize();
        offset.applyAxisAngle(new THREE.Vector3(0, 0, 1), sideways * KEY_TURN);
        const tilted = offset.clone().applyAxisAngle(axis, upward * KEY_TURN);
        if (Math.abs(tilted.z) < 0.99 * tilted.length()) offset.copy(tilted);
      } else if (zooms[event.key]) offset.multiplyScalar(zooms[event.key]);
      else if (event.key === "Home") return this.fit();
      else if (this.picking && event.key === "Enter") return this.pick(0, 0);
      else if (this.picking && event.key === "Escape") return this.$emit("leave");
      else return;
      event.preventDefault();
      this.camera.position.copy(this.controls.target).add(offset);
      this.controls.update();
      this.draw();
    },

    onRelease(event) {
      if (!this.picking || !this.pressed) return;
      const [x, y] = this.pressed;
      if (Math.hypot(event.clientX - x, event.clientY - y) > TAP_PIXELS) return;
      const frame = this.$refs.canvas.getBoundingClientRect();
      this.pick(((event.clientX - frame.left) / frame.width) * 2 - 1, 1 - ((event.clientY - frame.top) / frame.height) * 2);
    },

    // The place on the skin behind a point of the canvas, whose sides are at -1 and 1.
    pick(right, up) {
      if (!this.loaded.part) return;
      const ray = new THREE.Raycaster();
      ray.setFromCamera(new THREE.Vector2(right, up), this.camera);
      const hit = ray.intersectObject(this.skins[0]).find(({ point }) => !this.cut || this.plane.distanceToPoint(point) >= 0);
      if (!hit) return;
      const { x: px, y: py, z: pz } = this.things.worldToLocal(hit.point.clone());
      this.$emit("picked", { at: [px, py, pz] });
    },
  },
};
