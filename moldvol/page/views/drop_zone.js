// A file let fall anywhere on the page, or chosen with the button, goes to the bench as it is, with its progress. Of
// several the first comes here, and each of the others to a page of its own.
export default {
  template: `
    <div :class="['drop-zone', { small, over }]">
      <input ref="file" type="file" multiple class="unseen" :id="ident" @change="take($event.target.files)" tabindex="-1"
             aria-hidden="true">
      <div v-if="share === null" class="drop-words">
        <p v-if="!small" class="drop-lead">Drop a mesh here</p>
        <button type="button" :class="['plain-button', { strong: !small }]" @click="$refs.file.click()">
          {{ small ? "Another file" : "Choose a file" }}
        </button>
        <p v-if="!small" class="quiet">STL, OBJ, PLY, 3MF, OFF or GLB, up to {{ Math.round(limit / 1e4) / 100 }} MB.
          It stays on this computer and is put away with the job.</p>
      </div>
      <div v-else class="drop-words">
        <p class="drop-lead">Taking in {{ name }}</p>
        <progress :value="share" max="1" :aria-label="'Taking in ' + name"></progress>
        <button type="button" class="plain-button" @click="stop">Cancel</button>
      </div>
      <p v-if="fault" class="fault" role="alert">{{ fault }}</p>
      <div v-if="others.length" class="others" role="status">
        <p class="quiet">One part to a page; these have pages of their own:</p>
        <ul>
          <li v-for="other in others" :key="other.name">
            <a v-if="other.place" :href="other.place" target="_blank">{{ other.name }}</a>
            <span v-else-if="other.fault" class="fault">{{ other.fault }}</span>
            <span v-else>{{ other.name }} …</span>
          </li>
        </ul>
      </div>
    </div>`,

  props: { url: String, limit: Number, small: Boolean },
  data: () => ({ over: false, share: null, name: "", fault: "", others: [], ident: "file-" + Math.random().toString(36).slice(2) }),

  mounted() {
    this.watched = {
      dragover: (event) => (event.preventDefault(), (this.over = true)),
      dragleave: (event) => { if (!event.relatedTarget) this.over = false; },
      drop: (event) => {
        event.preventDefault();
        this.over = false;
        this.take(event.dataTransfer.files);
      },
    };
    for (const [name, react] of Object.entries(this.watched)) window.addEventListener(name, react);
  },

  beforeUnmount() {
    for (const [name, react] of Object.entries(this.watched)) window.removeEventListener(name, react);
    this.stop();
  },

  methods: {
    take(files) {
      if (!files.length) return;
      const [file, ...rest] = files;
      this.fault = this.tooLarge(file);
      if (this.fault) this.$refs.file.value = ""; // the same file may be chosen again once it is smaller
      else this.send(file);
      this.others = rest.map((other) => ({ name: other.name, place: "", fault: this.tooLarge(other) }));
      this.sendOthers(rest, this.others);
    },

    tooLarge(file) {
      if (file.size <= this.limit) return "";
      const size = Math.ceil(file.size / 1e4) / 100, most = Math.round(this.limit / 1e4) / 100;
      return `${file.name} is ${size} MB; this page takes files up to ${most} MB: export it coarser, or ` +
        "measure it with the command line.";
    },

    async sendOthers(files, others) {
      for (const [number, file] of [...files].entries()) {
        const other = others[number];
        if (other.fault) continue;
        try {
          const place = await this.posted("/job");
          await this.posted(`${place}/file`, file);
          other.place = place;
        } catch (reason) {
          other.fault = reason.message;
        }
      }
    },

    async posted(url, file) {
      const headers = file ? { "X-File-Name": encodeURIComponent(file.name), "Content-Type": "application/octet-stream" } : {};
      const answer = await fetch(url, { method: "POST", headers, body: file }).catch(() => null);
      if (!answer) throw new Error("The bench does not answer; is it still running?");
      const told = await answer.text();
      if (!answer.ok) throw new Error(told);
      return told;
    },

    send(file) {
      this.stop();
      const request = new XMLHttpRequest();
      this.request = request;
      this.name = file.name;
      this.share = 0;
      request.open("POST", this.url);
      request.setRequestHeader("X-File-Name", encodeURIComponent(file.name));
      request.setRequestHeader("Content-Type", "application/octet-stream");
      request.upload.onprogress = (event) => { if (event.lengthComputable) this.share = event.loaded / event.total; };
      request.onloadend = () => {
        if (this.request !== request) return;
        this.share = null;
        this.$refs.file.value = "";
        if (request.status === 0) this.fault ||= "The bench does not answer; is it still running?";
        else if (request.status >= 400) this.fault = request.responseText;
      };
      request.send(file);
    },

    stop() {
      const request = this.request;
      this.request = null;
      this.share = null;
      request?.abort();
    },
  },
};
