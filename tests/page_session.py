"""A session of the pages without a browser: the framework's own messages on its web socket."""

from contextlib import contextmanager

from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.sync.client import connect

FINISHED = "script_finished"


@contextmanager
def session(url):
    """A socket to the server, or the proxy before it, at that address."""
    where = url.replace("http", "ws", 1) + "/_stcore/stream"
    with connect(where, subprotocols=["streamlit"], origin=url, max_size=None, open_timeout=120) as socket:
        yield socket


def turned(socket, name, case=""):
    """Turn to a page, on a case if one is named; every message until it is drawn."""
    asked = BackMsg()
    asked.rerun_script.page_name = name
    asked.rerun_script.query_string = f"case={case}" if case else ""
    socket.send(asked.SerializeToString())
    told = []
    while not told or told[-1].WhichOneof("type") != FINISHED or told[-1].script_finished:
        told.append(ForwardMsg())
        told[-1].ParseFromString(socket.recv())
    return told


def address_of(socket, session_id, button):
    """Where the file of a download button lies once it was made, as at a press of the button."""
    asked = BackMsg()
    asked.backend_operation_request.request_id = "one"
    asked.backend_operation_request.session_id = session_id
    asked.backend_operation_request.deferred_file.file_id = button.deferred_file_id
    socket.send(asked.SerializeToString())
    told = ForwardMsg()
    while told.WhichOneof("type") != "backend_operation_response":
        told.ParseFromString(socket.recv())
    return told.backend_operation_response.deferred_file.url


def place_of_upload(socket, session_id):
    """Where a page takes the file that somebody has chosen."""
    asked = BackMsg()
    asked.file_urls_request.request_id = "one"
    asked.file_urls_request.session_id = session_id
    asked.file_urls_request.file_names.append("readings.csv")
    socket.send(asked.SerializeToString())
    told = ForwardMsg()
    while told.WhichOneof("type") != "file_urls_response":
        told.ParseFromString(socket.recv())
    return told.file_urls_response.file_urls[0].upload_url


def elements(told, kind):
    """Elements of a kind among the messages."""
    new = [one.delta.new_element for one in told]
    return [getattr(one, kind) for one in new if one.WhichOneof("type") == kind]
