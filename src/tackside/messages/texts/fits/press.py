"""What the virtual press and scanner cannot do."""

from tackside.messages.catalogue import Fault

TEXTS = {
    "press.not-rgb": Fault(
        "the virtual press was given something other than an 8-bit RGB image", "convert it first"
    ),
    "press.scan-ppi": Fault("the virtual scanner cannot scan at {ppi:g} ppi", "choose {least} to {most}"),
    "press.tilt": Fault("a sheet tilted by {tilt:g}° is too far askew", "choose −{most} to {most}"),
    "press.scan-suffix": Fault("a scan cannot be written as {file}", "end the name in .tif, .png or .jpg"),
    "press.scan-not-written": Fault("{file} could not be written", "check the folder and the disk's room"),
    "press.places": Fault(
        "there are {sheets} sheets and {places} places on the bed", "give one place a sheet"
    ),
    "press.cropped-away": Fault("the virtual scan was cropped to nothing", "crop less"),
}
