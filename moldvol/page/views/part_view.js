// The part on a canvas: orbit by mouse, finger and arrow keys, a cutting plane with a filled cut, see-through skin.
// Draws only when something has moved, so that an idle page leaves the machine alone.
import * as library from "nicegui-scene";

const { GLTFLoader, OrbitControls, THREE } = library.default ?? library;

const FIELD_OF_VIEW = 32;
const FIRST_LOOK = new THREE.Vector3(0.55, -1, 0.4);
const SIDES = { front: [0, -1, 0.001], right: [1, 0, 0.001], top: [0, -0.001, 1] };
const KEY_TURN = 0.15; // radians
// What stays when a plane cuts: the far half from the front, the left from the right side, the lower from above.
const CUTS = { front: ["y", 1], right: ["x", -1], top: ["z", -1] };
const TAP_PIXELS = 6; // a pointer that moves less than this has pointed, not turned

export default {
  template: `
    <div>
      <canvas ref="canvas" tabindex="0" role="img" :aria-label="label" v-show="!failed"></canvas>
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
    marks: Array, // [{at: [x, y, z], radius, ball}]
    label: String,
    sides: String,
  },
  emits: ["picked", "without3d"],
  data: () => ({ failed: false }),

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
      if (part) this.addBody(part, 1, "material");
      if (core && part) this.addBody(core, 3, "air");
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

    // A body is its skin, and a flat fill where the plane cuts it. The fill shows where, along the line of sight, more
    // back faces than front faces are left of the body: the stencil counts them.
    addBody(body, order, kind) {
      const flat = !body.skin.getAttribute("normal");
      const skin = new THREE.Mesh(
        body.skin,
        new THREE.MeshLambertMaterial({ side: THREE.DoubleSide, flatShading: flat }),
      );
      skin.renderOrder = 10;
      skin.name = kind;
      this.skins.push(skin);
      const counters = [
        [THREE.BackSide, THREE.IncrementWrapStencilOp],
        [THREE.FrontSide, THREE.DecrementWrapStencilOp],
      ].map(([side, tally]) => {
        const material = new THREE.MeshBasicMaterial({
          side, depthWrite: false, depthTest: false, colorWrite: false,
          stencilWrite: true, stencilFunc: THREE.AlwaysStencilFunc,
          stencilFail: tally, stencilZFail: tally, stencilZPass: tally,
        });
        const counter = new THREE.Mesh(body.skin, material);
        counter.renderOrder = order;
        counter.name = "counter";
        return counter;
      });
      const fill = new THREE.Mesh(
        new THREE.PlaneGeometry(1, 1),
        new THREE.MeshBasicMaterial({
          side: THREE.DoubleSide, stencilWrite: true, stencilRef: 0, stencilFunc: THREE.NotEqualStencilFunc,
          stencilFail: THREE.ReplaceStencilOp, stencilZFail: THREE.ReplaceStencilOp, stencilZPass: THREE.ReplaceStencilOp,
          polygonOffset: true, polygonOffsetFactor: -order, polygonOffsetUnits: -order,
        }),
      );
      fill.renderOrder = order + 0.5;
      fill.name = "fill " + kind;
      fill.onAfterRender = (renderer) => renderer.clearStencil();
      this.things.add(skin, ...counters);
      this.fills = (this.fills || []).filter((old) => old.name !== fill.name);
      this.fills.push(fill);
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
          thing.material.side = THREE.FrontSide;
          thing.material.clippingPlanes = planes;
          thing.visible = planes.length > 0 || this.glass;
        } else if (thing.name === "rims") {
          thing.material.color = colour("--mark");
        }
        if (thing.material) thing.material.needsUpdate = true;
      }
      this.dressFills(planes.length > 0, colour);
      this.setMarks(colour("--mark"));
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

    dressFills(cutting, colour) {
      for (const fill of this.fills || []) {
        this.scene.remove(fill);
        const air = fill.name === "fill air";
        if (!cutting || (air && !this.loaded.core)) continue;
        fill.material.color = colour(air ? "--page" : "--cut");
        fill.scale.setScalar(4 * this.radius);
        this.plane.coplanarPoint(fill.position);
        fill.lookAt(fill.position.clone().add(this.plane.normal));
        this.scene.add(fill);
      }
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

    setMarks(mark) {
      this.marked.clear();
      for (const { at, radius, ball } of this.marks || []) {
        const material = new THREE.MeshBasicMaterial({
          color: mark, depthTest: false, transparent: true, opacity: ball ? 0.35 : 0.9,
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
      if (this.box) this.$el.dataset.drawn = Number(this.$el.dataset.drawn || 0) + 1;
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
      else return;
      event.preventDefault();
      this.camera.position.copy(this.controls.target).add(offset);
      this.controls.update();
      this.draw();
    },

    onRelease(event) {
      if (!this.picking || !this.pressed || !this.loaded.part) return;
      const [x, y] = this.pressed;
      if (Math.hypot(event.clientX - x, event.clientY - y) > TAP_PIXELS) return;
      const frame = this.$refs.canvas.getBoundingClientRect();
      const at = new THREE.Vector2(
        ((event.clientX - frame.left) / frame.width) * 2 - 1,
        1 - ((event.clientY - frame.top) / frame.height) * 2,
      );
      const ray = new THREE.Raycaster();
      ray.setFromCamera(at, this.camera);
      const hit = ray.intersectObject(this.skins[0]).find(({ point }) => !this.cut || this.plane.distanceToPoint(point) >= 0);
      if (!hit) return;
      const { x: px, y: py, z: pz } = this.things.worldToLocal(hit.point.clone());
      this.$emit("picked", { at: [px, py, pz] });
    },
  },
};
