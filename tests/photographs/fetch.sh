#!/bin/sh
# Fetches the photographs of README.md from the packages that hold them: sh tests/photographs/fetch.sh FOLDER
# Needs apt-get and dpkg (Debian 12 or later), and python3 with pip.
set -eu
[ $# -eq 1 ] || { echo "usage: sh fetch.sh FOLDER" >&2; exit 2; }
mkdir -p "$1"
to=$(cd "$1" && pwd)
room=$(mktemp -d)
trap 'rm -rf "$room"' EXIT
cd "$room"
for package in lomiri-wallpapers-16.04 lomiri-wallpapers-20.04 mate-backgrounds plasma-workspace-wallpapers; do
    apt-get download "$package"
    dpkg -x "$package"_*.deb .
done
python3 -m pip download --no-deps --only-binary :all: --quiet --dest . scikit-image
python3 -m zipfile -e scikit_image-*.whl skimage-wheel
at=usr/share/backgrounds
cp $at/seeding_by_Clements_Engelhardt.jpg "$to/dandelion.jpg"
cp $at/free_by_Peter_Nerlich.jpg "$to/parrot.jpg"
cp $at/Picture_0B_by_freespace.jpg "$to/fig.jpg"
cp $at/Picture_1A_by_freespace.jpg "$to/brushes.jpg"
cp $at/Dragonfly_by_Bolly.jpg "$to/dragonfly.jpg"
cp $at/friends_by_Aitzol_Berasategi.jpg "$to/dogs.jpg"
cp $at/Kleiber_by_Lukas_Baubkus.jpg "$to/nuthatch.jpg"
cp $at/mate/nature/Garden.jpg "$to/marigold.jpg"
cp $at/mate/nature/LadyBird.jpg "$to/ladybird.jpg"
cp $at/mate/nature/TwoWings.jpg "$to/seeds.jpg"
cp $at/mate/nature/YellowFlower.jpg "$to/yellow.jpg"
at=usr/share/wallpapers
cp $at/FallenLeaf/contents/images/2560x1600.jpg "$to/leaf.jpg"
cp $at/Kite/contents/images/2560x1600.jpg "$to/kite.jpg"
cp $at/ColorfulCups/contents/images/2560x1600.jpg "$to/cups.jpg"
cp skimage-wheel/skimage/data/chelsea.png "$to/cat.png"
cp skimage-wheel/skimage/data/coffee.png "$to/coffee.png"
