// Upload: a video sent in one stream to our own route, with its progress.

export default function ({ data, parentElement, setTriggerValue }) {
  const words = data.words;
  const input = parentElement.querySelector("input");
  const status = parentElement.querySelector("p");
  parentElement.querySelector("span").textContent = words.upload_pick;
  input.onchange = () => {
    const file = input.files[0];
    if (!file) return;
    const name = file.name.replace(/[^\w .()+-]/g, "_");
    const request = new XMLHttpRequest();
    request.open("PUT", `/api/video/${encodeURIComponent(name)}?case=${encodeURIComponent(data.case)}`);
    request.setRequestHeader("Content-Type", file.type.startsWith("video/") ? file.type : "video/mp4");
    request.upload.onprogress = (event) => {
      status.textContent = words.upload_progress.replace("{percent}", Math.floor((100 * event.loaded) / event.total));
    };
    request.onload = () => {
      const found = JSON.parse(request.responseText || "{}");
      status.textContent = request.status === 201 ? words.upload_kept : found.error || String(request.status);
      if (request.status === 201) setTriggerValue("kept", found.name);
    };
    request.onerror = () => { status.textContent = words.upload_failed; };
    request.send(file);
  };
}
