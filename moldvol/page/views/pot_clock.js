// Time left to pour. Counted from the clock on the wall, not from ticks: a phone that slept must not lose a minute.
export default {
  template: `
    <div :class="['pot-clock', state]" role="timer" :aria-label="words">
      <span class="clock-time">{{ time }}</span>
      <span class="clock-words">{{ caption }}</span>
      <span class="clock-bar" aria-hidden="true"><span :style="{ width: 100 * part + '%' }"></span></span>
      <span class="unseen" aria-live="assertive">{{ announced }}</span>
    </div>`,

  props: { left: Number, life: Number, number: Number },
  data: () => ({ end: null, now: Date.now(), announced: "" }),

  computed: {
    seconds() { return this.end === null ? this.life : (this.end - this.now) / 1000; },
    part() { return Math.min(1, Math.max(0, this.seconds / (this.life || 1))); },
    state() {
      if (this.end === null) return "waiting";
      return this.seconds <= 0 ? "over" : this.part < 0.25 ? "short" : "running";
    },
    time() {
      const whole = Math.abs(Math.round(this.seconds));
      return `${this.seconds < -0.5 ? "−" : ""}${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
    },
    caption() {
      return { waiting: "to pour, once the parts meet", running: "left to pour", short: "left: pour now",
        over: "over the pot life: it may be setting" }[this.state];
    },
    words() { return `${this.time} ${this.caption}`; },
  },

  mounted() {
    this.set();
    this.$watch("number", () => this.set());
    this.$watch("state", (state) => { if (state === "short" || state === "over") this.announced = this.words; });
    this.ticking = setInterval(() => (this.now = Date.now()), 250);
  },
  beforeUnmount() { clearInterval(this.ticking); },

  methods: {
    set() {
      this.now = Date.now();
      this.end = this.left === null || this.left === undefined ? null : this.now + 1000 * this.left;
    },
  },
};
