// A file let fall anywhere on the page, or chosen with the button, goes to the bench as it is, with its progress.
const MB = 1e6;

export default {
  template: `
    <div :class="['drop-zone', { small, over }]">
      <input ref="file" type="file" class="unseen" :id="ident" @change="take($event.target.files)" tabindex="-1"
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
    </div>`,

  props: { url: String, limit: Number, small: Boolean },
  data: () => ({ over: false, share: null, name: "", fault: "", ident: "file-" + Math.random().toString(36).slice(2) }),

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
      const file = files[0];
      this.$refs.file.files.length; // the same file may be chosen again after it was changed
      this.fault = files.length > 1 ? `One part at a time: ${file.name} is taken, the others are not.` : "";
      if (file.size > this.limit) {
        const size = Math.round(file.size / MB), most = Math.round(this.limit / 1e4) / 100;
        this.fault = `${file.name} is ${size} MB; this page takes files up to ${most} MB: export it coarser, or ` +
          "measure it with the command line.";
        this.$refs.file.value = "";
        return;
      }
      this.send(file);
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
